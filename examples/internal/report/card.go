package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"

	"example.com/halfspace/examples/internal/design"
	"example.com/halfspace/examples/internal/document"
)

//go:embed card.html
var cardText string

var cardTemplate = template.Must(template.New("card").Parse(cardText))

// Card returns the card to stand beside the speaker at a show: declared parts with
// prices, rules with margins, the predicted curve with room for the measured one.
func Card(d *design.Design, response document.Chart) ([]byte, error) {
	type item struct{ Letter, What, Number, Price string }
	p := d.Project
	n := fmt.Sprint(p.Speakers)
	items := []item{
		{"", p.Woofer.Name, n, fmt.Sprintf("%.2f", p.Woofer.Price)},
		{"", p.Tweeter.Name, n, fmt.Sprintf("%.2f", p.Tweeter.Price)},
	}
	for _, x := range d.Speaker.Stress {
		items = append(items, item{x.Letter, x.Name, n, fmt.Sprintf("%.2f", x.Price)})
	}
	picture, err := response.Picture()
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	err = cardTemplate.Execute(&b, map[string]any{
		"Name": p.Name, "Verdict": verdict(d), "Rules": d.Rules, "Items": items, "Currency": p.Currency,
		"Sum": fmt.Sprintf("For %s: drivers %.2f, crossovers %.2f %s.", count(p.Speakers, "speaker"),
			d.Cost([]string{"drivers"}), d.Cost([]string{"crossover"}), p.Currency),
		"Plot": picture.SVG, "Legend": picture.Legend,
	})
	return b.Bytes(), err
}
