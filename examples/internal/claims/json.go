package claims

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// What is larger is refused.
const (
	MaxBytes  = 10 << 20 // of a claims file, and of a table
	MaxClaims = 10_000
	MaxRows   = 100_000 // of a table
	maxDepth  = 20
	maxText   = 10_000 // bytes of one text
	maxItems  = 1000   // of one list among inputs
)

// A node is a JSON value that knows where it stands.
type node struct {
	value   any // nil, bool, string, json.Number, []*node, []member
	offset  int // of its first byte
	pointer string
	file    *source
}

type member struct {
	name string
	*node
}

// A source is the text of a file with its name.
type source struct {
	name string
	text []byte
}

// An InputError says what in a claims file cannot be read or computed.
type InputError struct {
	File         string
	Line, Column int    // from 1, the column in characters
	Pointer      string // JSON pointer, RFC 6901
	Problem      string
}

func (e *InputError) Error() string {
	at := e.File
	if e.Line > 0 {
		at = fmt.Sprintf("%s:%d:%d", e.File, e.Line, e.Column)
	}
	if e.Pointer != "" {
		at += ": " + e.Pointer
	}
	return at + ": " + e.Problem
}

func (s *source) error(offset int, pointer, format string, args ...any) error {
	offset = min(offset, len(s.text))
	before := s.text[:offset]
	start := bytes.LastIndexByte(before, '\n') + 1
	return &InputError{
		s.name, bytes.Count(before, []byte{'\n'}) + 1, utf8.RuneCount(before[start:]) + 1,
		pointer, fmt.Sprintf(format, args...),
	}
}

func (n *node) errorf(format string, args ...any) error {
	return n.file.error(n.offset, n.pointer, format, args...)
}

// show writes a value for an error, cut short.
func (n *node) show() string {
	switch v := n.value.(type) {
	case string:
		return quote(v)
	case []*node:
		return "a list"
	case []member:
		return "an object"
	case nil:
		return "null"
	default:
		return quoteless(fmt.Sprint(v))
	}
}

func quote(s string) string { return `"` + quoteless(s) + `"` }

// quoteless cuts a text short and keeps it on one line.
func quoteless(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return '·'
		}
		return r
	}, strings.ToValidUTF8(s, "·"))
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s
}

// parse reads one JSON value and nothing after it.
func parse(s *source) (*node, error) {
	if len(s.text) > MaxBytes {
		return nil, &InputError{File: s.name, Problem: fmt.Sprintf("%d bytes: at most %d", len(s.text), MaxBytes)}
	}
	if !utf8.Valid(s.text) {
		i := 0
		for r, size := utf8.DecodeRune(s.text); r != utf8.RuneError || size > 1; r, size = utf8.DecodeRune(s.text[i:]) {
			i += size
		}
		return nil, s.error(i, "", "not UTF-8")
	}
	p := parser{s, json.NewDecoder(bytes.NewReader(s.text))}
	p.UseNumber()
	n, err := p.value("", 0)
	if err != nil {
		return nil, err
	}
	if _, err := p.Token(); !errors.Is(err, io.EOF) {
		return nil, s.error(p.next(), "", "text after the end of the JSON value")
	}
	return n, nil
}

type parser struct {
	*source
	*json.Decoder
}

// next returns where the next token starts.
func (p parser) next() int {
	i := int(p.InputOffset())
	for i < len(p.text) && strings.IndexByte(" \t\r\n,:", p.text[i]) >= 0 {
		i++
	}
	return i
}

func (p parser) token(pointer string) (json.Token, int, error) {
	at := p.next()
	t, err := p.Token()
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &syntax):
		return nil, at, p.error(max(int(syntax.Offset)-1, 0), pointer, "not JSON: %s", quoteless(syntax.Error()))
	case err != nil: // the text ends too soon
		return nil, at, p.error(len(p.text), pointer, "the JSON ends too soon")
	}
	return t, at, nil
}

func (p parser) value(pointer string, depth int) (*node, error) {
	t, at, err := p.token(pointer)
	if err != nil {
		return nil, err
	}
	n := &node{offset: at, pointer: pointer, file: p.source}
	if depth > maxDepth {
		return nil, n.errorf("nested deeper than %d", maxDepth)
	}
	switch t {
	default:
		if s, ok := t.(string); ok && len(s) > maxText {
			return nil, n.errorf("a text of %d bytes: at most %d", len(s), maxText)
		}
		n.value = t
		return n, nil
	case json.Delim('['):
		items := []*node{}
		for p.More() {
			item, err := p.value(fmt.Sprintf("%s/%d", pointer, len(items)), depth+1)
			if err != nil {
				return nil, err
			}
			items = append(items, item)
		}
		n.value = items
	case json.Delim('{'):
		members := []member{}
		seen := map[string]bool{}
		for p.More() {
			key, at, err := p.token(pointer)
			if err != nil {
				return nil, err
			}
			name := key.(string) // the decoder takes no other key
			below := pointer + "/" + escape.Replace(name)
			if seen[name] {
				return nil, p.error(at, below, "given twice")
			}
			seen[name] = true
			v, err := p.value(below, depth+1)
			if err != nil {
				return nil, err
			}
			members = append(members, member{name, v})
		}
		n.value = members
	}
	_, _, err = p.token(pointer) // the closing bracket
	return n, err
}

var escape = strings.NewReplacer("~", "~0", "/", "~1")
