package project

import (
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// find returns where a file gives the value of a key, or the table in braces it
// stands in. The decoder tells positions only of what it refuses itself.
func find(text []byte, key string) (line, column int, ok bool) {
	var p unstable.Parser
	p.Reset(text)
	table := ""
	for p.NextExpression() {
		e := p.Expression()
		var words []string
		at := e.Raw
		for k := e.Key(); k.Next(); {
			words = append(words, string(k.Node().Data))
			at = k.Node().Raw
		}
		path := strings.Join(words, ".")
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			table = path + "."
		case unstable.KeyValue:
			if !within(table+path, key) {
				continue
			}
			if v := e.Value(); v.Raw.Length > 0 {
				at = v.Raw
			}
			start := p.Shape(at).Start
			return start.Line, start.Column, true
		}
	}
	return 0, 0, false
}

// within says whether a key is another or lies in the table of that name; the
// decoder does not look at capitals either.
func within(outer, key string) bool {
	if len(key) > len(outer) {
		return key[len(outer)] == '.' && strings.EqualFold(outer, key[:len(outer)])
	}
	return strings.EqualFold(outer, key)
}
