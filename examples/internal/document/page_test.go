package document

import "testing"

func TestInline(t *testing.T) {
	got := inline("<?xml version=\"1.0\"?>\n<svg width=\"9pt\" viewBox=\"0 0 9 4\">\n<g/></svg>", `5" <5 & up`)
	want := `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 4" role="img" aria-label="5&#34; &lt;5 &amp; up">` + "\n<g/></svg>"
	if got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}
