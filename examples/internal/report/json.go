package report

import (
	"encoding/json"

	"example.com/halfspace/examples/internal/design"
	"example.com/halfspace/examples/internal/document"
	"example.com/halfspace/units"
)

type num = document.Num

// The JSON report. Units stand in the names.
type (
	facts struct {
		Name       string   `json:"name"`
		RulesHold  bool     `json:"rules_hold"`
		Rules      []rule   `json:"rules"`
		Drivers    []driver `json:"drivers"`
		Cabinet    wood     `json:"cabinet"`
		Bass       low      `json:"bass"`
		Crossover  network  `json:"crossover"`
		Speaker    finished `json:"speaker"`
		Notes      []string `json:"notes"`
		Cautions   []string `json:"cautions"`
		Assumption string   `json:"levels_are"`
	}
	rule struct {
		Name   string `json:"name"`
		Limit  string `json:"limit"`
		Value  string `json:"value"`
		Margin string `json:"margin"`
		Holds  bool   `json:"holds"`
	}
	driver struct {
		Name     string   `json:"name"`
		Re       num      `json:"re_ohm"`
		Fs       num      `json:"fs_Hz"`
		Qms      num      `json:"qms"`
		Qes      num      `json:"qes"`
		Qts      num      `json:"qts"`
		Vas      num      `json:"vas_L"`
		Sd       num      `json:"sd_cm2"`
		Mms      num      `json:"mms_g"`
		Cms      num      `json:"cms_mm_per_N"`
		Rms      num      `json:"rms_kg_per_s"`
		Bl       num      `json:"bl_Tm"`
		Xmax     num      `json:"xmax_mm"`
		Steps    []step   `json:"steps"`
		Findings []string `json:"findings"`
	}
	step struct {
		Figure string `json:"figure"`
		Value  string `json:"value"`
		From   string `json:"from"`
	}
	wood struct {
		Layers int     `json:"layers"`
		Gross  num     `json:"gross_L"`
		Net    num     `json:"net_L"`
		Width  num     `json:"width_mm"`
		Height num     `json:"height_mm"`
		Depth  num     `json:"depth_mm"`
		Mass   num     `json:"mass_kg"`
		Sheets int     `json:"sheets_for_all"`
		Least  int     `json:"sheets_by_area"`
		Pieces []piece `json:"pieces_per_speaker"`
		Inside []taken `json:"inside"`
	}
	piece struct {
		Name    string `json:"name"`
		Count   int    `json:"count"`
		Length  num    `json:"length_mm"`
		Width   num    `json:"width_mm"`
		Outside num    `json:"outside_mm"`
		Inside  num    `json:"inside_mm"`
		Start   num    `json:"start_deg"`
		End     num    `json:"end_deg"`
	}
	taken struct {
		Name   string `json:"name"`
		Volume num    `json:"volume_L"`
	}
	low struct {
		Tuning     num `json:"tuning_Hz"`
		VentLength num `json:"vent_length_mm"`
		Behind     num `json:"free_behind_vent_mm"`
		Pipe       num `json:"vent_pipe_resonance_Hz"`
		F3         num `json:"f3_half_space_Hz"`
		F6         num `json:"f6_half_space_Hz"`
		F10        num `json:"f10_half_space_Hz"`
	}
	network struct {
		Inverted bool   `json:"tweeter_inverted"`
		Formula  score  `json:"by_formula"`
		Tuned    score  `json:"tuned"`
		Shelf    score  `json:"as_built"`
		Parts    []part `json:"parts"`
		Price    num    `json:"price_per_speaker"`
	}
	score struct {
		Ripple   num `json:"ripple_dB"`
		Crossing num `json:"crossing_Hz"`
		Load     num `json:"least_load_ohm"`
	}
	part struct {
		Letter string `json:"letter"`
		Way    string `json:"way"`
		ID     string `json:"id"`
		Kind   string `json:"kind"`
		Value  num    `json:"value_SI"`
		Ohms   num    `json:"resistance_ohm"`
		Loss   num    `json:"loss_factor"`
		Price  num    `json:"price"`
		Noise  num    `json:"programme_heat_W"`
		Share  num    `json:"programme_share_of_rating"`
		Heat   num    `json:"worst_heat_W"`
	}
	noise struct {
		Signal string `json:"signal"`
		Volts  num    `json:"volts_RMS"`
		Watts  num    `json:"watts_into_rated_load"`
		Level  num    `json:"level_dB_1m"`
		First  string `json:"gives_first"`
	}
	finished struct {
		Noise       []noise `json:"noise"`
		Sensitivity num     `json:"sensitivity_dB"`
		F3          num     `json:"f3_Hz"`
		F6          num     `json:"f6_Hz"`
		F10         num     `json:"f10_Hz"`
		Load        num     `json:"least_load_ohm"`
		LoadAt      num     `json:"least_load_at_Hz"`
		Rated       num     `json:"largest_rated_ohm"`
		EPDR        num     `json:"least_peak_dissipation_resistance_ohm"`
		Dome        num     `json:"dome_travel_mm"`
		Loudest     []tone  `json:"loudest"`
	}
	tone struct {
		Frequency num    `json:"frequency_Hz"`
		Volts     num    `json:"volts"`
		Level     num    `json:"level_dB"`
		First     string `json:"gives_first"`
	}
)

// JSON returns the report for programs.
func JSON(d *design.Design) ([]byte, error) {
	p, sp, c, b := d.Project, d.Speaker, d.Cabinet, d.Bass
	mm := func(l units.Length) num { return num(l.In(units.Millimetre)) }
	doc := facts{
		Name: p.Name, RulesHold: d.Holds(), Rules: []rule{}, Notes: d.Notes, Cautions: cautions(),
		Assumption: "dB re 20 µPa at 1 m for 2.83 V, on the panel in free field, unless a name says half space",
	}
	for _, r := range d.Rules {
		doc.Rules = append(doc.Rules, rule(r))
	}
	for _, x := range []struct {
		name string
		design.Driver
	}{{p.Woofer.Name, d.Woofer}, {p.Tweeter.Name, d.Tweeter}} {
		m := x.Model
		out := driver{
			Name: x.name, Re: num(m.Re), Fs: num(m.Fs()), Qms: num(m.Qms()), Qes: num(m.Qes()), Qts: num(m.Qts()),
			Vas: num(m.Vas(d.Air).In(units.Litre)), Sd: num(m.Sd.In(units.SquareCentimetre)), Mms: num(m.Mms.In(units.Gram)),
			Cms: num(m.Cms.In(units.MillimetrePerNewton)), Rms: num(m.Rms), Bl: num(m.Bl), Xmax: mm(m.Xmax),
		}
		for _, s := range x.Steps {
			out.Steps = append(out.Steps, step(s))
		}
		for _, f := range x.Findings {
			out.Findings = append(out.Findings, f.String())
		}
		doc.Drivers = append(doc.Drivers, out)
	}
	doc.Cabinet = wood{
		Layers: c.Stack.Layers, Gross: num(c.Gross.In(units.Litre)), Net: num(c.Net.In(units.Litre)),
		Width: mm(c.Width), Height: mm(c.Height), Depth: mm(c.Depth), Mass: num(c.Mass), Sheets: c.Layout.Sheets, Least: c.Least,
	}
	for _, x := range c.Pieces {
		doc.Cabinet.Pieces = append(doc.Cabinet.Pieces, piece{
			x.Name, x.Count, mm(x.Length), mm(x.Width), mm(x.Outside), mm(x.Inside),
			num(x.Start.In(units.Degree)), num(x.End.In(units.Degree)),
		})
	}
	for _, x := range c.Inside {
		doc.Cabinet.Inside = append(doc.Cabinet.Inside, taken{x.Name, num(x.Volume.In(units.Litre))})
	}
	doc.Bass = low{
		Tuning: num(p.Box.Tuning), VentLength: mm(b.Vent.Length), Behind: mm(b.Behind), Pipe: num(b.Pipe),
		F3: num(b.F3), F6: num(b.F6), F10: num(b.F10),
	}
	doc.Crossover = network{Inverted: sp.Inverted, Price: num(sp.Choice.Price)}
	doc.Crossover.Formula = score{num(sp.Formula.Ripple), num(sp.Formula.Crossing[0]), num(sp.Formula.Load)}
	doc.Crossover.Tuned = score{num(sp.Tuned.Ripple), num(sp.Tuned.Crossing[0]), num(sp.Tuned.Load)}
	doc.Crossover.Shelf = score{num(sp.Choice.Score.Ripple), num(sp.Choice.Score.Crossing[0]), num(sp.Choice.Score.Load)}
	for _, x := range sp.Stress {
		doc.Crossover.Parts = append(doc.Crossover.Parts, part{
			x.Letter, x.Way, x.Name, x.Kind, num(x.Part.Value), num(x.Part.Resistance), num(x.Part.Loss), num(x.Price), num(x.Noise), num(x.Share), num(x.Worst),
		})
	}
	var noises []noise
	for _, x := range sp.Played {
		noises = append(noises, noise{x.Signal, num(x.Volts), num(x.Watts), num(x.Level), x.First})
	}
	doc.Speaker = finished{
		Noise:       noises,
		Sensitivity: num(sp.Sensitivity), F3: num(sp.F3), F6: num(sp.F6), F10: num(sp.F10),
		Load: num(sp.LoadMin), LoadAt: num(sp.LoadAt), Rated: num(sp.Rated), EPDR: num(sp.EPDR), Dome: mm(sp.Dome),
	}
	for _, l := range sp.Loudest {
		doc.Speaker.Loudest = append(doc.Speaker.Loudest, tone{num(l.Frequency), num(l.Volts), num(l.Level), l.First})
	}
	out, err := json.MarshalIndent(doc, "", "  ")
	return append(out, '\n'), err
}
