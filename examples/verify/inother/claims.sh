#!/bin/sh
# The same box, vent and pad as claims.py, from a POSIX shell with awk:
#
#     sh claims.sh >claims.json
set -eu

calc() { awk "BEGIN { pi = 3.14159265358979; $1 }"; }

fc=$(calc 'printf "%.2f", 30 * sqrt(1 + 60 / 25)')
f3=$(calc 'k = sqrt(1 + 60 / 25); q = 0.4 * k; a = 1 / (2 * q * q) - 1; printf "%.2f", 30 * k * sqrt(a + sqrt(a * a + 1))')
length=$(calc 'printf "%.1f", 1000 * (pi * 0.01 / 4 / 0.05 * (345 / (2 * pi * 32)) ^ 2 - 1.463 * 0.05)')
series=$(calc 'k = exp(-6 / 20 * log(10)); printf "%.3f", 8 * (1 - k)')
shunt=$(calc 'k = exp(-6 / 20 * log(10)); printf "%.3f", 8 * k / (1 - k)')

cat <<END
{
  "title": "A box, a vent and a pad from a shell",
  "cases": [
    {
      "id": "box",
      "capability": "closed box",
      "inputs": {"fs": "30 Hz", "Qts": 0.4, "Vas": "60 L", "Vb": "25 L"},
      "claims": [{"output": "fc", "value": "$fc Hz"}, {"output": "f3", "value": "$f3 Hz", "tolerance": "0.1 %"}]
    },
    {
      "id": "vent",
      "capability": "vent",
      "inputs": {"volume": "50 L", "frequency": "32 Hz", "diameter": "10 cm", "ends": 1.463},
      "claims": [{"output": "length", "value": "$length mm"}]
    },
    {
      "id": "pad",
      "capability": "pad",
      "inputs": {"kind": "L", "load": "8 ohm", "attenuation": "6 dB"},
      "claims": [{"output": "resistor", "of": "A", "value": "$series ohm"}, {"output": "resistor", "of": "B", "value": "$shunt ohm"}]
    }
  ]
}
END
