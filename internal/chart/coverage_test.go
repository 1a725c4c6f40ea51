package chart

import (
	"errors"
	"image"
	"image/color"
	"strings"
	"testing"

	"holdbench/internal/calc"
)

func drawPage(t *testing.T, c Coverage, page int) (Picture, coveragePage) {
	t.Helper()
	p, err := c.Draw(page)
	if err != nil {
		t.Fatal(err)
	}
	cells, err := c.byPlace()
	if err != nil {
		t.Fatal(err)
	}
	table := c.page(page)
	table.cells = cells
	return p, table
}

// gridTop finds the row of the first cell: under the line of ink below the
// kinds, by what the head is high.
func gridTop(t *testing.T, img pixels, g gridLayout) int {
	t.Helper()
	for y := range img.Bounds().Dy() {
		for _, r := range img.row(y, ink) {
			if r.to-r.from > 60 && float64(r.from) >= g.lefts[0] {
				return y - 44 + int(g.head)
			}
		}
	}
	t.Fatal("no line under the kinds")
	return 0
}

// cellBox is where a cell of the page lies on the picture.
func cellBox(top int, g gridLayout, row, column int) image.Rectangle {
	x, y := int(g.lefts[column]), top+row*cellHeight
	return image.Rect(x, y, x+int(g.width), y+cellHeight)
}

// Every cell of every page has the look of its combination: the state's shade
// and sign, the dashed box of what is in stock, or nothing.
func TestEveryCellLooksLikeItsCombination(t *testing.T) {
	for name, c := range thinned(coverageScenes(), "10 by 11", "two untested") {
		if len(c.Products) == 0 {
			continue
		}
		for page := range c.Pages() {
			p, table := drawPage(t, c, page+1)
			img, g := read(t, p), table.layout()
			top := gridTop(t, img, g)
			for row := table.fromRow; row < table.toRow; row++ {
				for i, column := range table.shownColumns() {
					cell := table.cells[place{row, column}]
					checkCell(t, name, img, cellBox(top, g, row-table.fromRow, i), cell)
				}
			}
		}
	}
}

func checkCell(t *testing.T, name string, img pixels, box image.Rectangle, c Cell) {
	t.Helper()
	corner := img.RGBAAt(box.Min.X+10, box.Min.Y+10)
	middleInk := img.blobs(box.Inset(14), tested)
	switch {
	case c.Tests > 0:
		v, err := lookOf(c.State)
		if err != nil {
			t.Fatal(err)
		}
		if corner != asRGBA(v.shade) {
			t.Errorf("%s: %+v has shade %v, want %v", name, c, corner, v.shade)
		}
		if len(img.blobs(box.Inset(4), v.on)) < 2 { // sign and number
			t.Errorf("%s: %+v has no sign or no number", name, c)
		}
	case c.Holders > 0:
		dashes := img.blobs(image.Rect(box.Min.X, box.Min.Y+2, box.Min.X+8, box.Max.Y-2), tested)
		if corner != lightScheme[testedBed] || len(dashes) < 3 || len(middleInk) != 1 {
			t.Errorf("%s: %+v does not stand out: shade %v, %d dashes, %d figures", name, c, corner, len(dashes),
				len(middleInk))
		}
	default:
		if corner != lightScheme[paper] || len(middleInk) > 0 {
			t.Errorf("%s: a cell that nobody tested or stocks is not empty", name)
		}
	}
}

// In shades of grey the cells are still told apart, by sign and number of ink.
func TestStatesOfCellsAreToldApartWithoutColour(t *testing.T) {
	c := Coverage{Ceiling: 10, Products: []string{"one"}}
	for i, v := range looks() {
		c.Instruments = append(c.Instruments, Instrument{Gauge: 20 + i, LengthMM: 13})
		c.Cells = append(c.Cells, Cell{Instrument: i, Tests: 5, State: v.State})
	}
	p, table := drawPage(t, c, 1)
	img, g := read(t, p), table.layout()
	top := gridTop(t, img, g)
	sign := func(i int) []bool {
		box := cellBox(top, g, 0, i)
		mid := (box.Min.X + box.Max.X) / 2
		var on []bool
		for y := box.Min.Y + 8; y < box.Min.Y+46; y++ {
			for x := mid - 20; x < mid+20; x++ {
				on = append(on, img.is(x, y, looks()[i].on))
			}
		}
		return on
	}
	for a := range looks() {
		for b := range a {
			differ, inked := 0, 0
			one, other := sign(a), sign(b)
			for k := range one {
				if one[k] || other[k] {
					inked++
				}
				if one[k] != other[k] {
					differ++
				}
			}
			if inked == 0 || float64(differ)/float64(inked) < 0.25 {
				t.Errorf("%s and %s: %d of %d pixels of the signs differ", looks()[a].State, looks()[b].State, differ,
					inked)
			}
		}
	}
}

// A number that changes, changes its own cell and nothing else.
func TestNumberOfTestsStandsInItsCell(t *testing.T) {
	c := coverageScenes()["10 by 11"]
	before, table := drawPage(t, c, 1)
	at := c.Cells[20]
	if at.Tests == 0 {
		t.Fatalf("the scene's cell %+v was to be a tested one", at)
	}
	c.Cells[20].Tests += 30
	after, _ := drawPage(t, c, 1)
	a, b := read(t, before), read(t, after)
	g := table.layout()
	box := cellBox(gridTop(t, a, g), g, at.Product, at.Instrument)
	inside, outside := differences(a, b, box)
	if inside < 20 || outside > 0 {
		t.Errorf("%d pixels in the cell and %d elsewhere changed, want only the cell's", inside, outside)
	}
}

// Where nobody tested, a state is a calculation: it is not shown.
func TestStateOfAnUntestedCellIsNotShown(t *testing.T) {
	c := coverageScenes()["two untested"]
	want, _ := drawPage(t, c, 1)
	c.Cells[0].State = calc.StateHold
	got, _ := drawPage(t, c, 1)
	if string(got.PNG) != string(want.PNG) || got.Alt != want.Alt {
		t.Error("the state of an untested cell shows")
	}
}

func TestPagesOfCoverageSayWhatIsElsewhere(t *testing.T) {
	c := coverageScenes()["30 by 20"]
	if c.Pages() != 4 {
		t.Fatalf("%d pages, want 4", c.Pages())
	}
	for page, want := range []string{
		"Page 1 of 4: products 1–15 of 30 and needles and cannulas 1–10 of 20. The rest is on the other pages.",
		"Page 2 of 4: products 1–15 of 30 and needles and cannulas 11–20 of 20. The rest is on the other pages.",
		"Page 3 of 4: products 16–30 of 30 and needles and cannulas 1–10 of 20. The rest is on the other pages.",
		"Page 4 of 4: products 16–30 of 30 and needles and cannulas 11–20 of 20. The rest is on the other pages.",
	} {
		if testing.Short() && page != 2 {
			continue
		}
		p, table := drawPage(t, c, page+1)
		if got := table.pageWords(); got != want || !strings.Contains(p.Alt, want) {
			t.Errorf("page %d says %q, want %q; alternative text: %s", page+1, got, want, p.Alt)
		}
	}
	for _, s := range []struct {
		products, instruments, want int
	}{{10, 11, 1}, {15, 12, 1}, {16, 12, 2}, {15, 13, 2}, {30, 20, 4}, {0, 0, 1}, {2000, 40, 134 * 4}} {
		if got := spreadSize(s.products, s.instruments).Pages(); got != s.want {
			t.Errorf("%d by %d: %d pages, want %d", s.products, s.instruments, got, s.want)
		}
	}
}

func spreadSize(products, instruments int) Coverage {
	return Coverage{Ceiling: 10, Products: make([]string, products), Instruments: make([]Instrument, instruments)}
}

// Cells are large enough for a thumb's width of numbers on the fullest page.
func TestCellsOfTheFullestPageAreReadable(t *testing.T) {
	c := spreadSize(mostRows, mostColumns)
	c.Instruments[0].Cannula = true // both kinds: the gap takes its share
	_, table := drawPage(t, c, 1)
	if g := table.layout(); g.width < 58 {
		t.Errorf("cells of %.0f px, want at least 58", g.width)
	}
	if wide := strongLetter.sized(smallSize).width("888"); wide > table.layout().width-4 {
		t.Errorf("three digits are %.0f px wide, the cell %.0f", wide, table.layout().width)
	}
}

func TestCoverageRefusesWhatItCannotDraw(t *testing.T) {
	for name, cell := range map[string]Cell{
		"no such product":    {Product: 2, Instrument: 0},
		"product below 0":    {Product: -1},
		"no such instrument": {Instrument: 2},
		"tests below 0":      {Tests: -1},
		"holders below 0":    {Holders: -1},
	} {
		c := coverageScenes()["two untested"]
		c.Cells = []Cell{cell}
		var out *calc.RangeError
		if _, err := c.Draw(1); !errors.As(err, &out) {
			t.Errorf("%s: %v, want a RangeError", name, err)
		}
	}
	c := coverageScenes()["two untested"]
	c.Cells = append(c.Cells, c.Cells[0])
	if _, err := c.Draw(1); err == nil || !strings.Contains(err.Error(), "given twice") {
		t.Errorf("a cell given twice: %v", err)
	}
	c.Cells = []Cell{{Tests: 1, State: "safe"}}
	if _, err := c.Draw(1); err == nil || !strings.Contains(err.Error(), "no state") {
		t.Errorf("a state that is none: %v", err)
	}
	c.Cells, c.Ceiling = nil, 0
	if _, err := c.Draw(1); err == nil {
		t.Error("a ceiling of 0 was taken")
	}
}

func TestAlternativeTextOfCoverage(t *testing.T) {
	c := Coverage{
		Group: "Saltmarsh Lane Study Circle", Ceiling: 10,
		Products: []string{"Orrick Mid", "Hesk Paste", "Pellow Lip"},
		Instruments: []Instrument{
			{Cannula: true, Gauge: 25, LengthMM: 38}, {Gauge: 27, LengthMM: 13},
			{Gauge: 30, LengthMM: 8, Note: "ultra-thin wall"},
		},
		Cells: []Cell{
			{0, 1, 12, calc.StateHold, 3}, {2, 1, 1, calc.StateTooFewTests, 0}, {1, 0, 4, calc.StateNotExpected, 1},
			{Product: 0, Instrument: 2, Holders: 1}, {Product: 2, Instrument: 0, Holders: 4},
		},
	}
	for _, s := range []struct {
		scene string
		c     Coverage
		want  string
	}{
		{"a few", c, "Coverage of Saltmarsh Lane Study Circle: 3 of 9 combinations tested; ceiling 10 s. In stock " +
			"but untested: 2. Tested here: 3, in 17 tests. " +
			"Hold (1): Orrick Mid 27G 13 mm needle, 12. Waiting does not help (1): Hesk Paste 25G 38 mm cannula, 4. " +
			"Too few tests (1): Pellow Lip 27G 13 mm needle, 1. " +
			"In stock but untested (2): Pellow Lip 25G 38 mm cannula, 4 holders; Orrick Mid 30G 8 mm needle, " +
			"ultra-thin wall, 1 holder. " + altCaveats},
		{"nothing listed", Coverage{Ceiling: 10}, "No products, needles or cannulas are on the group's list yet."},
		{"no products", Coverage{Ceiling: 10, Instruments: c.Instruments}, "No products are on the group's list yet."},
		{"no instruments", Coverage{Ceiling: 10, Products: c.Products}, "No needles or cannulas are on the group's " +
			"list yet."},
		{"nothing tested", Coverage{Ceiling: 8, Products: c.Products, Instruments: c.Instruments},
			"Coverage: 0 of 9 combinations tested; ceiling 8 s. " + altCaveats},
	} {
		if p, _ := drawPage(t, s.c, 1); p.Alt != s.want {
			t.Errorf("%s:\n got %s\nwant %s", s.scene, p.Alt, s.want)
		}
	}
}

// An empty group's picture is not blank: it says so.
func TestEmptyPicturesSaySo(t *testing.T) {
	for name, draw := range map[string]func(int) (Picture, error){"coverage": coverageScenes()["empty"].Draw,
		"testers": testerScenes()["empty"].Draw} {
		p, err := draw(1)
		if err != nil {
			t.Fatal(err)
		}
		img := read(t, p)
		below := image.Rect(40, 200, sheetWidth-40, img.Bounds().Dy()-30)
		if len(img.blobs(below, color.Color(ink))) < 10 {
			t.Errorf("%s: no words under the heading", name)
		}
	}
}
