package project

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"regexp"
	"slices"
	"strings"

	"example.com/halfspace/examples/internal/tomlfile"
)

var (
	keyFirst = regexp.MustCompile(`^([a-z]+\.[a-z0-9.]+)(: | )`)
	packages = regexp.MustCompile(`(^|: )(?:ts|response|parts|port): `)
	firstOf  = regexp.MustCompile(`^([A-Za-z0-9]+) `)
)

// Explain says of an error that a calculation made of the project where the key or table
// it begins with stands, and leaves out which package of the library found it.
func (s Source) Explain(err error, settings ...string) error {
	if err == nil {
		return nil
	}
	said := packages.ReplaceAllString(err.Error(), "$1")
	plain := err
	if said != err.Error() {
		plain = errors.New(said)
	}
	m := keyFirst.FindStringSubmatch(said)
	text, unread := fs.ReadFile(s.Files, s.Name)
	if m == nil || unread != nil {
		return plain
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	key, rest := m[1], said[len(m[0]):]
	// "woofer.sheet: Qes 0.435: ..." is about woofer.sheet.qes.
	if word := firstOf.FindStringSubmatch(rest); word != nil && m[2] == ": " {
		full := key + "." + strings.ToLower(word[1])
		if _, _, ok := tomlfile.Find(text, full); ok || settingOf(settings, full) != "" {
			key, said = full, full+" "+rest[len(word[0]):]
		}
	}
	if set := settingOf(settings, key); set != "" {
		return fmt.Errorf("-set %s: %s", tomlfile.Shown(set), said)
	}
	if slices.ContainsFunc(settings, func(set string) bool { return tomlfile.Within(key, strings.TrimSpace(strings.SplitN(set, "=", 2)[0])) }) {
		return plain // it may be the setting's fault or the file's
	}
	line, column, ok := tomlfile.Find(text, key)
	if !ok {
		line, column, ok = tomlfile.FindTable(text, key)
	}
	if !ok {
		return plain
	}
	return fmt.Errorf("%s%s:%w", s.Shown, s.Name, &tomlfile.Error{Line: line, Column: column, Text: said})
}

// settingOf returns the last setting of a key.
func settingOf(settings []string, key string) string {
	for _, set := range slices.Backward(settings) {
		name, _, _ := strings.Cut(set, "=")
		if tomlfile.Within(strings.TrimSpace(name), key) {
			return set
		}
	}
	return ""
}
