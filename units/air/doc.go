// Package air is the medium: from temperature, pressure and humidity to the
// density and the speed of sound that every other package calculates with.
//
// The formulas are those of metrology: density after CIPM-2007, speed of sound
// after Cramer (1993), viscosity after IEC 61094-2:2009 Annex F.
//
// The loudspeaker literature uses round figures instead. They are not all the
// same air (at 101.325 kPa):
//
//	c   345   m/s     21.6 °C at 50 % humidity, 22.8 °C dry
//	c   344   m/s     20.0 °C at 50 %
//	c   343.2 m/s     19.7 °C dry
//	ρ   1.18  kg/m³   24.4 °C at 50 %
//	ρ   1.20  kg/m³   19.8 °C at 50 %
//	ρ   1.21  kg/m³   18.7 °C dry
//	ρ   1.225 kg/m³   15.0 °C dry, the standard atmosphere (an ideal gas; real air has it at 15.1 °C)
//
// Between 0 and 100 % humidity the speed of sound changes by 0.4 % at 20 °C, so
// does every tuning frequency; density and Vas follow the barometer and the
// altitude, tuning frequencies hardly.
package air
