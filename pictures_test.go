package holdbench

import (
	"bytes"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// picturePage shows the pictures of pictureFolder.
const (
	picturePage   = "docs/commands.md"
	pictureFolder = "docs/pictures"
)

// pictureCommand is a line of the page with a command that writes a picture.
var pictureCommand = regexp.MustCompile(`(?m)^    (go run \./cmd/bot ask "/[^"]+")$`)

// The pictures that the page shows are what its commands make of the demo now.
func TestPicturesOfTheDocs(t *testing.T) {
	page := read(t, picturePage)
	program, folder := build(t), t.TempDir()
	for _, found := range pictureCommand.FindAllStringSubmatch(page, -1) {
		shell(t, program, folder, found[1])
	}
	made, kept := picturesIn(t, folder), picturesIn(t, pictureFolder)
	if len(made) == 0 {
		t.Fatalf("no command of %s wrote a picture", picturePage)
	}
	for name, data := range made {
		if !strings.Contains(page, `src="pictures/`+name+`"`) {
			t.Errorf("%s does not show %s", picturePage, name)
		}
		if samePicture(t, data, kept[name]) {
			continue
		}
		if !*update {
			t.Errorf("%s is not what the program draws; make pictures draws it anew", name)
			continue
		}
		if err := os.WriteFile(filepath.Join(pictureFolder, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
		t.Errorf("%s rewritten: look at it, then run again", name)
	}
	for name := range kept {
		if made[name] == nil {
			t.Errorf("no command of %s writes %s", picturePage, name)
		}
	}
}

func picturesIn(t *testing.T, folder string) map[string][]byte {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(folder, "*.png"))
	if err != nil {
		t.Fatal(err)
	}
	found := map[string][]byte{}
	for _, path := range paths {
		if found[filepath.Base(path)], err = os.ReadFile(path); err != nil {
			t.Fatal(err)
		}
	}
	return found
}

// samePicture tells whether two pictures look the same. Another machine may add up
// in another order and move a soft edge: 1 pixel in 1 000 may differ.
func samePicture(t *testing.T, a, b []byte) bool {
	t.Helper()
	if len(b) == 0 {
		return false
	}
	one, other := decoded(t, a), decoded(t, b)
	if one.Bounds() != other.Bounds() {
		return false
	}
	differ, size := 0, one.Bounds().Size()
	for y := range size.Y {
		for x := range size.X {
			r, g, b, _ := one.At(x, y).RGBA()
			u, v, w, _ := other.At(x, y).RGBA()
			if r != u || g != v || b != w {
				differ++
			}
		}
	}
	return differ*1000 <= size.X*size.Y
}

func decoded(t *testing.T, data []byte) image.Image {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return img
}
