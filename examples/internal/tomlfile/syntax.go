package tomlfile

import (
	"fmt"
	"reflect"
	"regexp"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// Quotation marks that word processors write.
const typographic = "“”„‟«»″‘’‚‛‹›′"

var (
	keyOnly  = regexp.MustCompile(`^[A-Za-z0-9_-]+(\s*\.\s*[A-Za-z0-9_-]+)*$`)
	keyFirst = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_.-]*(\s|$)`)
)

// syntax says in a builder's words why a line is no TOML, and at which column. It says
// nothing of what it does not understand.
func syntax(text []byte, root reflect.Type, number int) (column int, said string) {
	lines := strings.Split(string(text), "\n")
	if number > len(lines) || !utf8.ValidString(lines[number-1]) {
		return 0, ""
	}
	line := strings.TrimRight(lines[number-1], "\r")
	name, rest, found := strings.Cut(line, "=")
	key := strings.TrimSpace(name)
	at := len(name) + 2 // of the value
	if !found || !keyOnly.MatchString(key) {
		// Part of a list over several lines, say.
		name, rest, key, at, found = "", line, "", 1, false
	}
	value := strings.TrimLeft(rest, " \t")
	at += len(rest) - len(value)
	value = strings.TrimRight(value, " \t")

	// The key in full, and what it takes, if the file has it.
	var t reflect.Type
	var path []string
	if found {
		path = append(lastTable(text), split(key)...)
		if known := typeOf(root, path); known != nil {
			t = known
		} else if typeOf(root, path[:len(path)-1]) == nil {
			path = split(key)
		}
		key = strings.Join(path, ".")
	}
	prefix := ""
	if found {
		prefix = key + " "
	}
	switch opened, unclosed := open(value); {
	case strings.ContainsFunc(line, func(r rune) bool { return r != '\t' && control(r) }):
		i := strings.IndexFunc(line, func(r rune) bool { return r != '\t' && control(r) })
		return i + 1, prefix + short(value) + ": must be one line without control characters"
	case strings.Contains(name, "\u00a0") || strings.HasPrefix(value, "\u00a0"):
		return strings.Index(line, "\u00a0") + 1, key + ": a no-break space stands there: write an ordinary one"
	case !unclosed && curly(value) >= 0:
		i := curly(value)
		mark, _ := utf8.DecodeRuneInString(value[i:])
		return at + i, fmt.Sprintf(`%s%s: the quotation mark %c is a typographic one: want straight ones, as %s`, prefix, short(uncommented(value)), mark, straight(value))
	case unclosed:
		return at + opened, fmt.Sprintf(`%s%s: the quotation mark %c that opens here is not closed on its line`, prefix, short(value), value[opened])
	case !found && strings.Contains(line, ":") && keyOnly.MatchString(strings.TrimSpace(strings.SplitN(line, ":", 2)[0])),
		!found && keyFirst.MatchString(strings.TrimSpace(line)) && !strings.Contains(line, "="):
		return 1, fmt.Sprintf("%s: want key = value, with an equals sign", short(strings.TrimSpace(line)))
	case !found || toml.Unmarshal([]byte("x = "+value), &map[string]any{}) == nil:
		return 0, ""
	}
	value = uncommented(value)
	switch {
	case t == nil && typeOf(root, path[:len(path)-1]) != nil:
		return 1 + len(name) - len(strings.TrimLeft(name, " \t")), unknownKey(text, root, path)
	case t == nil:
		return 0, ""
	case value == "":
		return at, fmt.Sprintf("%s has no value: want %s, or the line left out", key, wanted(t, root, ""))
	case strings.IndexByte("[{", value[0]) >= 0:
		return 0, ""
	}
	return at, fmt.Sprintf("%s %s: want %s", key, short(value), wanted(t, root, value))
}

func split(key string) []string {
	words := strings.Split(key, ".")
	for i, w := range words {
		words[i] = strings.TrimSpace(w)
	}
	return words
}

// typeOf returns the type of what a key names, nil if there is no such key.
func typeOf(root reflect.Type, key []string) reflect.Type {
	for _, k := range key {
		root = element(root)
		if root.Kind() != reflect.Struct || IsText(root) {
			return nil
		}
		f, ok := root.FieldByNameFunc(func(n string) bool { return strings.EqualFold(n, k) })
		if !ok || f.Anonymous || !f.IsExported() {
			return nil
		}
		root = f.Type
	}
	return root
}

// lastTable returns the words of the last header before the first error.
func lastTable(text []byte) []string {
	var table string
	walk(text, func(path string, node *unstable.Node, _ place) bool {
		if node == nil {
			table = path
		}
		return true
	})
	if table == "" {
		return nil
	}
	return strings.Split(table, ".")
}

// open returns where a straight quotation mark stands that is not closed.
func open(value string) (at int, unclosed bool) {
	if strings.Contains(value, `"""`) || strings.Contains(value, "'''") {
		return 0, false
	}
	var mark byte
	for i := 0; i < len(value); i++ {
		switch c := value[i]; {
		case mark == '"' && c == '\\':
			i++
		case mark != 0 && c == mark:
			mark = 0
		case mark != 0:
		case c == '"' || c == '\'' && (i == 0 || strings.IndexByte(" [,{=\t", value[i-1]) >= 0):
			mark, at = c, i
		case c == '#':
			return 0, false
		}
	}
	return at, mark != 0
}

// curly returns where a typographic quotation mark stands outside straight ones, -1 if
// nowhere.
func curly(value string) int {
	var mark rune
	for i, c := range value {
		switch {
		case mark != 0 && c == mark:
			mark = 0
		case mark != 0:
		case c == '"' || c == '\'':
			mark = c
		case c == '#':
			return -1
		case strings.ContainsRune(typographic, c):
			return i
		}
	}
	return -1
}

// straight writes a value as it should be quoted.
func straight(value string) string {
	return short(strings.Map(func(r rune) rune {
		if strings.ContainsRune(typographic, r) {
			return '"'
		}
		return r
	}, uncommented(value)))
}

// uncommented cuts a remark off a value.
func uncommented(value string) string {
	var mark byte
	for i := 0; i < len(value); i++ {
		switch c := value[i]; {
		case mark != 0 && c == mark:
			mark = 0
		case mark != 0:
		case c == '"' || c == '\'' && i == 0:
			mark = c
		case c == '#':
			return strings.TrimSpace(value[:i])
		}
	}
	return value
}

// short cuts what a message repeats of a file, and keeps it printable.
func short(text string) string {
	const most = 60
	text = strings.Map(func(r rune) rune {
		if control(r) {
			return ' '
		}
		return r
	}, text)
	n := 0
	for i := range text {
		if n++; n > most {
			return text[:i] + "…"
		}
	}
	return text
}
