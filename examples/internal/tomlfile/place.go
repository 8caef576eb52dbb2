package tomlfile

import (
	"fmt"
	"strings"
	"unicode"

	"github.com/pelletier/go-toml/v2/unstable"
)

// Find returns where a file gives the value of a key, or the table in braces it
// stands in. The decoder tells positions only of what it refuses itself.
func Find(text []byte, key string) (line, column int, ok bool) {
	walk(text, func(path string, node *unstable.Node, at place) bool {
		if node != nil && Within(path, key) {
			line, column = at()
			ok = true
		}
		return !ok
	})
	return line, column, ok
}

// FindTable returns where the header of the innermost table stands that a key lies in.
func FindTable(text []byte, key string) (line, column int, ok bool) {
	longest := 0
	walk(text, func(path string, node *unstable.Node, at place) bool {
		if node == nil && Within(path, key) && len(path) > longest {
			line, column = at()
			ok, longest = true, len(path)
		}
		return true
	})
	return line, column, ok
}

// FindText returns the first key that has a text for its value, and where.
func FindText(text []byte, value string) (key string, line, column int, ok bool) {
	walk(text, func(path string, node *unstable.Node, at place) bool {
		if node != nil && node.Kind == unstable.String && string(node.Data) == value {
			line, column = at()
			key, ok = path, true
		}
		return !ok
	})
	return key, line, column, ok
}

// Within says whether a key is another or lies in the table of that name; the
// decoder does not look at capitals either.
func Within(outer, key string) bool {
	if len(key) > len(outer) {
		return key[len(outer)] == '.' && strings.EqualFold(outer, key[:len(outer)])
	}
	return strings.EqualFold(outer, key)
}

// plain refuses texts and keys with line breaks and other control characters: what is
// read here is printed on terminals and pages.
func plain(text []byte) error {
	var err error
	walk(text, func(path string, node *unstable.Node, at place) bool {
		switch {
		case strings.ContainsFunc(path, control):
			err = at.error(fmt.Sprintf("key %q: must be one line without control characters", path))
		case node != nil && node.Kind == unstable.String && strings.ContainsFunc(string(node.Data), control):
			err = at.error(path + " " + short(fmt.Sprintf("%q", node.Data)) + ": must be one line without control characters")
		}
		return err == nil
	})
	return err
}

// control says whether a character is none to print, or breaks a line.
func control(r rune) bool { return unicode.IsControl(r) || r == '\u2028' || r == '\u2029' }

// A place finds line and column; to count them for every value would take long.
type place func() (line, column int)

func (p place) error(text string) error {
	line, column := p()
	return &Error{line, column, text}
}

// walk visits the headers of tables, with no node, and the values with their whole keys,
// also those within brackets and braces, as far as the text is TOML.
func walk(text []byte, each func(path string, node *unstable.Node, at place) bool) {
	var p unstable.Parser
	p.Reset(text)
	table := ""
	placeOf := func(r unstable.Range) place {
		return func() (int, int) {
			start := p.Shape(r).Start
			return start.Line, start.Column
		}
	}
	var value func(path string, n *unstable.Node, at unstable.Range) bool
	pair := func(table string, n *unstable.Node) bool {
		path, at := keyOf(n)
		return value(table+path, n.Value(), at)
	}
	value = func(path string, n *unstable.Node, at unstable.Range) bool {
		if n.Raw.Length > 0 {
			at = n.Raw
		}
		if !each(path, n, placeOf(at)) {
			return false
		}
		for c := n.Children(); (n.Kind == unstable.Array || n.Kind == unstable.InlineTable) && c.Next(); {
			child := c.Node()
			switch {
			case child.Kind == unstable.Comment:
			case child.Kind == unstable.KeyValue:
				if !pair(path+".", child) {
					return false
				}
			case !value(path, child, at):
				return false
			}
		}
		return true
	}
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			path, at := keyOf(e)
			table = path + "."
			if !each(path, nil, placeOf(at)) {
				return
			}
		case unstable.KeyValue:
			if !pair(table, e) {
				return
			}
		}
	}
}

// keyOf joins the words of a key and returns where the last stands.
func keyOf(n *unstable.Node) (string, unstable.Range) {
	var words []string
	at := n.Raw
	for k := n.Key(); k.Next(); {
		words = append(words, string(k.Node().Data))
		at = k.Node().Raw
	}
	return strings.Join(words, "."), at
}
