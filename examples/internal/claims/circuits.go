package claims

import "fmt"

type object = map[string]any

// woofer and tweeter are the loads of the circuits below.
var (
	woofer  = object{"Re": "5.8 Ω", "Le": "0.65 mH", "Res": "38 Ω", "Lces": "28 mH", "Cmes": "310 µF"}
	tweeter = object{"Re": "5.4 Ω", "Le": "0.05 mH", "Res": "9 Ω", "Lces": "0.9 mH", "Cmes": "42 µF"}
)

func named(name string, load object) object {
	named := object{"name": name}
	for k, v := range load {
		named[k] = v
	}
	return named
}

func programme(hz ...string) []object {
	weights := []float64{0.2, 0.3, 0.4, 0.1}
	var lines []object
	for i, f := range hz {
		lines = append(lines, object{"f": f, "weight": weights[i]})
	}
	return lines
}

// circuits are those that published rows name.
var circuits = map[string]object{
	"W1": {
		"network": []object{
			{"series": []string{"L 1.2 mH; 0.35 Ω"}},
			{"shunt": []string{"C 15 µF; 0.05 Ω"}},
			{"shunt": []string{"R 7.2 Ω", "C 12 µF"}},
		},
		"load":      woofer,
		"programme": programme("55 Hz", "500 Hz", "2000 Hz", "8000 Hz"),
	},
	"T1": {
		"network": []object{
			{"series": []string{"C 6.8 µF; 0.02 Ω"}},
			{"shunt": []string{"L 0.35 mH; 0.25 Ω"}},
			{"series": []string{"R 2.2 Ω"}},
			{"shunt": []string{"R 12 Ω"}},
		},
		"load":      tweeter,
		"programme": programme("400 Hz", "800 Hz", "2500 Hz", "12000 Hz"),
	},
	"S1": {
		"circuit": "in mid C 10 µF; 0.02 Ω; tan δ 0.0005\nmid 0 L 0.56 mH; 0.22 Ω\nin mid load woofer\nmid 0 load tweeter",
		"loads":   []object{named("woofer", woofer), named("tweeter", tweeter)},
	},
	"S2": {
		"circuit": "in a C 6.8 µF\na b L 0.47 mH; 0.2 Ω\nb 0 C 15 µF; 0.05 Ω\na 0 L 0.82 mH; 0.3 Ω\nin b load woofer\nb 0 load tweeter",
		"loads":   []object{named("woofer", woofer), named("tweeter", tweeter)},
	},
	"bridge": {
		"circuit": "in a R 3.3 Ω\nin b C 22 µF; 0.05 Ω\na 0 L 1.2 mH; 0.4 Ω\nb 0 R 5.6 Ω\na b load woofer",
		"loads":   []object{named("woofer", woofer)},
	},
}

// simpleCircuit builds a network whose parts stand in the row.
func simpleCircuit(name string, given map[string]Given, used map[string]bool) (object, error) {
	part := func(kind, key string) string {
		used[key] = true
		return kind + " " + given[key].text()
	}
	var arms []object
	switch name {
	case "shelf":
		arms = []object{{"series": []string{part("R", "Rs"), part("L", "L")}}}
	case "trap in series":
		arms = []object{{"series": []string{part("R", "Rp"), part("L", "L"), part("C", "C")}}}
	case "trap in shunt":
		arms = []object{{"series": []string{part("R", "Rs")}}, {"shunt": []string{part("R", "R"), part("L", "L"), part("C", "C")}}}
	default:
		return nil, fmt.Errorf("no circuit %q", name)
	}
	used["RL"] = true
	return object{"network": arms, "load": object{"Re": given["RL"].text()}}, nil
}
