package room

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"holdbench/internal/commands"
)

// Folder is where the pictures and files of answers are written.
type Folder struct {
	Path string // "" for the current folder. Keep sets it to a temporary folder if it cannot write there.
}

// mostAlike is how many files of one name a folder may hold.
const mostAlike = 999

// Keep writes a Card's picture and files into the folder, or into a temporary one if that cannot be written to. It
// returns the Card with their paths in place of their names. It overwrites nothing: a new file gets a number if its
// name is taken. Only the owner can read the files, because they may hold names.
func (f *Folder) Keep(card commands.Card) (commands.Card, error) {
	if card.Picture != nil {
		path, err := f.write(card.Picture.Name, card.Picture.PNG)
		if err != nil {
			return card, err
		}
		picture := *card.Picture
		picture.Name = path
		card.Picture = &picture
	}
	files := make([]commands.File, len(card.Files))
	for i, file := range card.Files {
		path, err := f.write(file.Name, file.Data)
		if err != nil {
			return card, err
		}
		files[i] = file
		files[i].Name = path
	}
	card.Files = files
	return card, nil
}

// write writes one file, into a temporary folder if need be, and returns its path.
func (f *Folder) write(name string, data []byte) (path string, err error) {
	path, err = f.create(name, data)
	if err == nil || f.Path != "" && !errors.Is(err, fs.ErrNotExist) && !errors.Is(err, fs.ErrPermission) {
		return path, err
	}
	first := err
	if f.Path, err = os.MkdirTemp("", "holdbench-"); err != nil {
		return "", errors.Join(first, err)
	}
	return f.create(name, data)
}

// create writes a new file under its name, with a number added if the name is taken.
func (f *Folder) create(name string, data []byte) (path string, err error) {
	name = filepath.Base(name)
	ending := filepath.Ext(name)
	for n := 1; n <= mostAlike; n++ {
		one := name
		if n > 1 {
			one = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(name, ending), n, ending)
		}
		path = filepath.Join(f.Path, one)
		if f.Path == "" {
			path = "." + string(filepath.Separator) + one
		}
		file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return "", err
		}
		_, err = file.Write(data)
		return path, errors.Join(err, file.Close())
	}
	return "", fmt.Errorf("%s: %d files of that name are there", filepath.Join(f.Path, name), mostAlike)
}
