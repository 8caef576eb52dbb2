// Package claims recomputes what another program says of a loudspeaker.
//
// A claims file is JSON: cases, each with a capability of this library, its inputs,
// and what the program got. Quantities are texts with their units, as [units.Parse]
// reads them; what has no unit may be a number.
//
//	{
//	  "title": "One woofer in a closed box",
//	  "cases": [{
//	    "id": "closed 25 L",
//	    "question": "Where does it end up in 25 litres?",
//	    "capability": "closed box",
//	    "inputs": {"fs": "30 Hz", "Qts": 0.4, "Vas": "60 L", "Vb": "25 L"},
//	    "claims": [
//	      {"output": "Qtc", "value": 0.7376, "tolerance": 0.0005},
//	      {"output": "f3", "value": "53.0 Hz", "tolerance": "1 %"},
//	      {"output": "response", "at": "40 Hz", "value": "-6.4 dB", "tolerance": "0.1 dB"},
//	      {"output": "response", "table": {"file": "response.csv", "at": "Hz", "value": "dB"}, "tolerance": "0.1 dB"}
//	    ]
//	  }]
//	}
//
// Without a tolerance it is half a unit of the last digit of the value as written. A
// tolerance in % is a share of the value claimed.
//
// A table holds plain columns, named by its first line or numbered from "1". Its grid
// does not matter: what is computed is computed at the table's own points. Only what
// comes from another table, a measured curve, has points of its own, and is
// interpolated between them over log f, level and unwrapped phase apart, by
// response.Curve.Resample. Phases are compared modulo a whole turn.
//
// Air is that of air.Standard unless the file or a case gives it.
//
// [All] lists the capabilities. What a claim would need and nobody gave (the cone's
// area for a response relative to the pass band) may be missing if the result does not
// depend on it; whether it does is tried out.
package claims
