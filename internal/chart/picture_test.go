package chart

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"math"
	"strings"
	"sync"
	"testing"
	"unicode/utf8"

	"holdbench/internal/calc"
)

// everyPicture draws every scene, of many pages the first and the last, by its
// name.
func everyPicture(tb testing.TB) map[string]Picture {
	tb.Helper()
	all := map[string]Picture{}
	draw := func(name string, page int, draw func(int) (Picture, error)) {
		title := fmt.Sprintf("%s, %d", name, page)
		if _, drawn := all[title]; drawn {
			return
		}
		p, err := draw(page)
		if err != nil {
			tb.Fatalf("%s: %v", title, err)
		}
		all[title] = p
	}
	for name, c := range thinned(shareScenes(tb), "untested", "long names") {
		draw("share "+name, 1, func(int) (Picture, error) { return c.Draw() })
	}
	for name, c := range thinned(coverageScenes(), "long names") {
		draw("coverage "+name, 1, c.Draw)
		draw("coverage "+name, c.Pages(), c.Draw)
	}
	for name, c := range thinned(testerScenes(), "wide and long") {
		draw("testers "+name, 1, c.Draw)
		draw("testers "+name, c.Pages(), c.Draw)
	}
	for name, c := range thinned(mineScenes(), "long names") {
		draw("mine "+name, 1, c.Draw)
		draw("mine "+name, c.Pages(), c.Draw)
	}
	return all
}

// Nothing is cut off in any scene: the paper's edge and the margin between the
// edge line and what is drawn are bare, and the picture covers whatever is
// behind it.
func TestEverySceneKeepsWithinItsMargins(t *testing.T) {
	for name, p := range everyPicture(t) {
		keepPicture(t, name, p)
		t.Run(name, func(t *testing.T) {
			img := read(t, p)
			if size := img.Bounds().Size(); size.X != sheetWidth {
				t.Errorf("size %v, want 1080 wide", size)
			}
			if !img.Opaque() {
				t.Error("the picture lets the chat's background through")
			}
			checkMargins(t, img)
			checkAlt(t, p)
		})
	}
}

// checkMargins checks that only paper and the edge line lie near the edges.
func checkMargins(t *testing.T, img pixels) {
	t.Helper()
	const bare = 28 // pixels from the edge
	size := img.Bounds().Size()
	line := image.Rect(edgeInset, edgeInset, size.X-edgeInset, size.Y-edgeInset)
	within := line.Inset(edgeWidth)
	for y := range size.Y {
		for x := 0; x < size.X; x++ {
			if x == bare && y >= bare && y < size.Y-bare {
				x = size.X - bare
			}
			at, want := image.Pt(x, y), paper
			if at.In(line) && !at.In(within) {
				want = edge
			}
			if !img.is(x, y, want) {
				t.Fatalf("pixel %v in the margin is %v, want %v", at, img.RGBAAt(x, y), want)
			}
		}
	}
}

// checkAlt checks what every alternative text has to keep to. The limit is the
// chat platform's for the description of a file.
func checkAlt(t *testing.T, p Picture) {
	t.Helper()
	if n := utf8.RuneCountInString(p.Alt); n < 20 || n > 1024 {
		t.Errorf("alternative text of %d characters: %s", n, p.Alt)
	}
	if p.Alt != strings.TrimSpace(p.Alt) || strings.ContainsAny(p.Alt, "\n\t") || strings.Contains(p.Alt, "  ") {
		t.Errorf("alternative text is not tidy: %q", p.Alt)
	}
	if len(p.PNG) > 1_000_000 {
		t.Errorf("%d bytes, want less than 1 MB", len(p.PNG))
	}
}

func TestSameFiguresGiveTheSameBytesFromManyGoroutines(t *testing.T) {
	scenes := []func() (Picture, error){
		handMade().Draw,
		untested(handMade()).Draw,
		func() (Picture, error) { return coverageScenes()["10 by 11"].Draw(1) },
		func() (Picture, error) { return testerScenes()["nine"].Draw(1) },
	}
	if testing.Short() {
		scenes = scenes[1:3]
	}
	for i, draw := range scenes {
		want, err := draw()
		if err != nil {
			t.Fatal(err)
		}
		var wait sync.WaitGroup
		for range 4 {
			wait.Go(func() {
				got, err := draw()
				if err != nil || !bytes.Equal(got.PNG, want.PNG) || got.Alt != want.Alt {
					t.Errorf("picture %d differs when drawn again (%v)", i, err)
				}
			})
		}
		wait.Wait()
	}
}

// A cell's order in the list, and a map's within, must not show.
func TestOrderOfCellsDoesNotShow(t *testing.T) {
	c := coverageScenes()["10 by 11"]
	want, err := c.Draw(1)
	if err != nil {
		t.Fatal(err)
	}
	var reversed []Cell
	for i := range c.Cells {
		reversed = append(reversed, c.Cells[len(c.Cells)-1-i])
	}
	c.Cells = reversed
	got, err := c.Draw(1)
	if err != nil || !bytes.Equal(got.PNG, want.PNG) || got.Alt != want.Alt {
		t.Errorf("the picture depends on the order of the cells (%v)", err)
	}
}

func TestPagesHoldEverythingOnce(t *testing.T) {
	for all := range 100 {
		for _, most := range []int{1, 7, 12, 15} {
			p := newPages(all, most)
			next, smallest, largest := 0, math.MaxInt, 0
			for page := range p.count {
				from, to := p.span(page)
				if from != next {
					t.Fatalf("%d in pages of %d: page %d begins at %d, want %d", all, most, page, from, next)
				}
				next, smallest, largest = to, min(smallest, to-from), max(largest, to-from)
			}
			if next != all || largest > most || largest-smallest > 1 {
				t.Errorf("%d in pages of %d: ended at %d, pages of %d to %d", all, most, next, smallest, largest)
			}
		}
	}
}

func TestPagesThatAreNotThere(t *testing.T) {
	for _, page := range []int{-1, 0, 5} {
		_, err := coverageScenes()["30 by 20"].Draw(page)
		var out *calc.RangeError
		if !errors.As(err, &out) || out.Name != "page" {
			t.Errorf("coverage page %d: %v, want a RangeError of the page", page, err)
		}
		_, err = testerScenes()["many"].Draw(page)
		if !errors.As(err, &out) || out.Name != "page" {
			t.Errorf("testers page %d: %v, want a RangeError of the page", page, err)
		}
	}
}

func TestCutKeepsWholeWords(t *testing.T) {
	for _, c := range []struct {
		text string
		most int
		want string
	}{
		{"one two three", 13, "one two three"},
		{"one two three", 12, "one two…"},
		{"one two, three", 10, "one two…"},
		{"unbrokenword", 6, "unbro…"},
		{"zäh, größer", 8, "zäh…"},
	} {
		got := cut(c.text, c.most)
		if got != c.want || utf8.RuneCountInString(got) > c.most {
			t.Errorf("cut(%q, %d) = %q, want %q", c.text, c.most, got, c.want)
		}
	}
}

func TestNamesAreMadeOneLine(t *testing.T) {
	for in, want := range map[string]string{
		"  Orrick\n\tMid ": "Orrick Mid",
		"a\x00b":           "a b",
		"":                 "",
		"a\xffb":           "a b",
	} {
		if got := tidy(in); got != want {
			t.Errorf("tidy(%q) = %q, want %q", in, got, want)
		}
	}
}

// Names from a chat can hold anything.
func TestStrangeNamesAreDrawn(t *testing.T) {
	names := []string{"", "\n", "😀😀😀", "אבג דהו", "测试产品", "é́́́", "\xff\xfe", strings.Repeat("W", 5000),
		strings.Repeat("long name ", 2000)}
	coverage, testers := coverageScenes()["10 by 11"], testerScenes()["nine"]
	for i, name := range names {
		coverage.Products[i], coverage.Instruments[i].Note, testers.Testers[i].Name = name, name, name
	}
	coverage.Group, testers.Group = names[8], names[8]
	pictures := []func() (Picture, error){
		func() (Picture, error) { return coverage.Draw(1) },
		func() (Picture, error) { return testers.Draw(1) },
	}
	if testing.Short() {
		names = names[6:]
	}
	for _, name := range names {
		share := handMade()
		share.Product, share.Setup = name, name
		pictures = append(pictures, share.Draw)
	}
	for i, draw := range pictures {
		p, err := draw()
		if err != nil {
			t.Fatalf("picture %d: %v", i, err)
		}
		checkMargins(t, read(t, p))
		if n := utf8.RuneCountInString(p.Alt); n > mostAlt || !utf8.ValidString(p.Alt) {
			t.Errorf("picture %d: alternative text of %d characters, or broken", i, n)
		}
	}
}
