package spread

import (
	"math"
	"math/rand/v2"
	"slices"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// A builder builds one speaker after the other.
type builder struct {
	speaker  *Speaker
	networks []ladder.Network
	values   []*float64 // of the parts, way by way
	nominal  []float64
	reach    []float64      // of each part: tolerance times value
	gain     []float64      // of the driver of each way
	loads    [][]complex128 // [way]

	pcg  *rand.PCG
	rng  *rand.Rand
	z, p [][]complex128 // [way] factors of Vary, nil without

	h, zin [][]complex128 // [way]
	sum    []complex128
	window []float64 // dB, in the band
}

func (s *Speaker) builder() *builder {
	b := &builder{speaker: s, pcg: rand.NewPCG(0, 0)}
	b.rng = rand.New(b.pcg)
	ways, points := len(s.Networks), len(s.Field.Hz)
	row := func() []complex128 { return make([]complex128, points) }
	b.networks, b.gain, b.loads = make([]ladder.Network, ways), make([]float64, ways), make([][]complex128, ways)
	b.z, b.p, b.h, b.zin = make([][]complex128, ways), make([][]complex128, ways), make([][]complex128, ways), make([][]complex128, ways)
	b.sum = row()
	from, to := s.band()
	b.window = make([]float64, to-from)
	for w, n := range s.Networks {
		b.networks[w] = clone(n)
		for a := range n {
			for i := range n[a].Parts {
				part := &b.networks[w][a].Parts[i]
				b.values = append(b.values, &part.Value)
				b.nominal = append(b.nominal, part.Value)
				b.reach = append(b.reach, part.Value*float64(part.Tolerance))
			}
		}
		b.gain[w], b.loads[w] = s.polarity(w), s.Field.Load(w)
		b.h[w], b.zin[w] = row(), row()
		if s.Drivers != nil && s.Drivers[w].Vary != nil {
			b.loads[w] = slices.Clone(b.loads[w])
			b.z[w], b.p[w] = row(), row()
			for k := range points {
				b.p[w][k] = 1
			}
		}
	}
	return b
}

// draw makes the drivers and parts of draw i. It is false if a driver is not finite.
func (b *builder) draw(i uint64) bool {
	b.pcg.Seed(b.speaker.Seed, i)
	for w := range b.networks {
		u := b.rng.Float64()
		if b.speaker.Drivers == nil {
			continue
		}
		d := &b.speaker.Drivers[w]
		b.level(w, d.Level*Uniform.Quantile(u))
		if d.Vary != nil && !b.vary(w, d) {
			return false
		}
	}
	for j := range b.values {
		b.set(j, b.speaker.Parts.Quantile(b.rng.Float64()))
	}
	return true
}

// set brings part j to a share of its tolerance.
func (b *builder) set(j int, share float64) { *b.values[j] = b.nominal[j] + float64(b.reach[j]*share) }

// level sets the level of the driver of a way in dB.
func (b *builder) level(way int, dB float64) {
	b.gain[way] = b.speaker.polarity(way) * math.Exp(math.Ln10/20*dB)
}

// vary makes the driver of a way.
func (b *builder) vary(w int, d *Driver) bool {
	z, p, load := b.z[w], b.p[w], b.loads[w]
	for k := range z {
		z[k], p[k] = 1, 1
	}
	d.Vary(z, p, b.speaker.Field.Hz, b.rng)
	for k, nominal := range b.speaker.Field.Load(w) {
		load[k] = nominal * z[k]
		if !finite(load[k]) || !finite(p[k]) {
			return false
		}
	}
	return true
}

// solve writes the level on axis of the speaker as it stands.
func (b *builder) solve(level []float64) {
	s := b.speaker
	for w, n := range b.networks {
		h := b.h[w]
		n.Solve(h, b.zin[w], s.Field.Hz, b.loads[w])
		gain := complex(b.gain[w], 0)
		switch p := b.p[w]; {
		case p != nil:
			for k := range h {
				h[k] *= gain * p[k]
			}
		case gain != 1:
			for k := range h {
				h[k] *= gain
			}
		}
	}
	s.Field.Add(b.sum, s.Point, b.h)
	for k, p := range b.sum {
		level[k] = decibels(power(p))
	}
}

// load returns the least modulus of the input impedance of the speaker just solved.
//
// The admittance of all ways is carried as a ratio a/b, and the largest of them is
// found by cross products, so that nothing is divided but once.
func (b *builder) load() units.Resistance {
	most, least := 0.0, 1.0 // squares of the largest ratio
	for k := range b.sum {
		sum, product := complex128(0), complex128(1)
		for _, zin := range b.zin {
			if z := zin[k]; finite(z) {
				sum, product = sum*z+product, product*z
			}
		}
		x, y := power(sum), power(product)
		if y == 0 {
			return 0 // a way is a short
		}
		if x*least > most*y {
			most, least = x, y
		}
	}
	return units.Resistance(math.Sqrt(least / most))
}

func decibels(power float64) float64 { return 10 / math.Ln10 * math.Log(power) }

func power(z complex128) float64 {
	return float64(real(z)*real(z)) + float64(imag(z)*imag(z))
}

func finite(z complex128) bool { return 0*real(z) == 0 && 0*imag(z) == 0 }
