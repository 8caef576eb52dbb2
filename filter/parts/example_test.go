package parts_test

import (
	"fmt"
	"os"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/units"
)

// In E6 the boundary between 3.3 and 4.7 is their geometric mean, 3.938.
func ExampleSeries_Nearest() {
	for _, v := range []float64{3.93, 3.95, 4.6e-6} {
		fmt.Println(v, parts.E6.Nearest(v), parts.E24.Nearest(v))
	}
	// Output:
	// 3.93 3.3 3.9
	// 3.95 4.7 3.9
	// 4.6e-06 4.7e-06 4.7e-06
}

func ExampleCatalogue_Nearest() {
	f, err := os.Open("testdata/parts.csv")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer f.Close()
	shop, err := parts.ReadCatalogue(f)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, item := range shop.Nearest(ladder.L(1.25*units.Millihenry), 3) {
		fmt.Printf("%-18s %-22v %5.2f EUR\n", item.ID, item.Part, item.Price)
	}
	// Output:
	// coil-1.2mH-0.6mm   L 1.2 mH ±3 % 1.23 Ω    4.60 EUR
	// ironcoil-1.2mH     L 1.2 mH ±5 % 0.185 Ω   6.95 EUR
	// coil-1.2mH-1.0mm   L 1.2 mH ±3 % 0.543 Ω   8.05 EUR
}
