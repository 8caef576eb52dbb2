package project

import (
	"io/fs"
	"os"
	"path"
	"path/filepath"

	"example.com/halfspace/examples/projects"
)

// Open returns the project of a file or, if none is named, the checked-in one of
// that name.
func Open(file, checkedIn string) Source {
	if file == "" {
		return Source{Files: among(checkedIn), Name: "project.toml", Shown: checkedIn + "/"}
	}
	dir, name := filepath.Split(file)
	shown := dir
	if dir == "" {
		dir = "."
	}
	return Source{Files: below(dir), Name: name, Shown: shown}
}

// among opens files from the folder of a checked-in project on, those of other
// projects too.
type among string

func (a among) Open(name string) (fs.File, error) {
	return projects.Files.Open(path.Join(string(a), name))
}

// below opens files from a folder on. Unlike os.DirFS it follows "../", since a
// builder may keep the curves elsewhere.
type below string

func (b below) Open(name string) (fs.File, error) {
	if !filepath.IsAbs(name) {
		name = filepath.Join(string(b), filepath.FromSlash(name))
	}
	return os.Open(name)
}
