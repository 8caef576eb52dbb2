package drawing

import (
	"fmt"
	"html"
	"math"
	"strings"

	"example.com/halfspace/box/cabinet"
)

// A page of a template fits the common sheets of office paper with a margin to spare.
const (
	pageWidth, pageHeight = 180., 250.
	footer                = 22. // for the scale bar, below the picture
	overlap               = 12. // of neighbouring pages
)

// Templates returns a page to print, in full size, with every part of the rings over
// as many sheets of paper as it needs. Neighbouring sheets overlap and share
// registration crosses; each has a bar of 100 mm to measure.
func Templates(name string, l cabinet.Layers) string {
	var b strings.Builder
	fmt.Fprintf(&b, `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Templates of %s</title>
<style>
@page { margin: 10mm; }
body { margin: 0; font-family: system-ui, sans-serif; }
svg { display: block; break-after: page; }
h1 { font-size: 1.2rem; margin: 5mm; }
@media screen { body { padding: 2mm; } svg { border: 1px dashed #777; margin: 2mm 0; max-width: calc(100%% - 2px); height: auto; } }
@media print { h1 { display: none; } }
</style>
</head>
<body>
<h1>Templates of %s: print without scaling</h1>
`, html.EscapeString(name), html.EscapeString(name))
	for _, p := range l.Parts {
		for _, page := range Template(p, l) {
			b.WriteString(page)
		}
	}
	b.WriteString("</body>\n</html>\n")
	return b.String()
}

// Template returns the pages of one part as SVG in true size, row by row from the
// bottom, each from left to right.
func Template(p cabinet.Part, l cabinet.Layers) []string {
	c := newCanvas(5)
	// Along the paper if that takes fewer sheets.
	m, w, h := level(p.Shape, 0, 0)
	stepX, stepY := pageWidth-overlap, pageHeight-footer-overlap
	tiles := func(size, step float64) int { return max(1, int(math.Ceil((size-overlap-1e-6)/step))) }
	if tiles(h+overlap, stepX)*tiles(w+overlap, stepY) < tiles(w+overlap, stepX)*tiles(h+overlap, stepY) {
		m = move{cos: -m.sin, sin: m.cos, x: h - m.y, y: m.x} // a quarter turn
		w, h = h, w
	}
	across, up := tiles(w+overlap, stepX), tiles(h+overlap, stepY)
	// Its lines stay off the edges of the paper.
	m.x, m.y = m.x+overlap, m.y+overlap
	c.draw(c.path(p.Shape, m), edge)
	for _, d := range l.Dowels {
		if p.Shape.Contains(d) {
			x, y := m.point(d)
			c.circle(x, y, 3, edge)
			c.cross(x, y, 5, thin)
		}
	}
	x, y := m.point(inner(p.Shape, l.Dowels, 0.012))
	c.write(x, y, "middle", false, 8, p.Letter)
	// Crosses where pages overlap, at places that both of them show.
	for i := range across + 1 {
		for k := range up + 1 {
			c.cross(float64(i)*stepX+overlap/2, float64(k)*stepY+overlap/2, 4, thin)
		}
	}
	var pages []string
	for k := range up {
		for i := range across {
			left, bottom := float64(i)*stepX, float64(k)*stepY
			top := bottom + pageHeight - footer
			id := fmt.Sprintf("clip-%s-%d-%d", p.Letter, k+1, i+1)
			foot := -bottom + footer - 8
			pages = append(pages, fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="%s %s %s %s" role="img" aria-label="piece %s, page %d of %d">
<clipPath id="%s"><rect x="%s" y="%s" width="%s" height="%s"/></clipPath>
<g clip-path="url(#%s)">
%s<g fill="#111" font-family="system-ui, sans-serif">
%s</g></g>
<path d="M%s %sh100m-100 -3v6m10 -4v2m10 -2v2m10 -2v2m10 -2v2m10 -2v2m10 -2v2m10 -2v2m10 -2v2m10 -2v2m10 -4v6" fill="none" stroke="#111" stroke-width="0.3"/>
<text x="%s" y="%s" font-size="4.5" font-family="system-ui, sans-serif">must measure 100 mm; %s</text>
</svg>
`, number(pageWidth), number(pageHeight), number(left), number(-top), number(pageWidth), number(pageHeight),
				p.Letter, k*across+i+1, across*up,
				id, number(left), number(-top), number(pageWidth), number(pageHeight-footer),
				id, c.lines.String(), c.words.String(),
				number(left+4), number(foot-2),
				number(left+4), number(foot+5.5),
				fmt.Sprintf("piece %s, page %d of %d: row %d from below, column %d", p.Letter, k*across+i+1, across*up, k+1, i+1)))
		}
	}
	return pages
}
