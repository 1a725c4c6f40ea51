package chart

import (
	"encoding/binary"
	"hash/crc32"
	"math"
	"strings"
	"testing"

	"holdbench/internal/calc"
)

// mineScenes are the scenes of a member's sheet.
func mineScenes() map[string]Mine {
	whole := Mine{Group: "Saltmarsh Lane Study Circle", Day: "2026-11-24", Ceiling: 10, PullML: 0.1,
		Notes: []string{"1 gel in your stock without a needle or cannula."}}
	whole.Rows = []MineRow{{"Tamsel Fine", "27G 13 mm", calc.StateHold, 6, "8 tests by 6 members"}}
	for _, v := range looks() {
		if v.State != calc.StateHold {
			whole.Rows = append(whole.Rows, MineRow{"Orrick Mid", "30G 13 mm", v.State, 0, v.Short})
		}
	}
	whole.Rows = append(whole.Rows, MineRow{"Dunmere Deep", "29G 13 mm, 25G 38 mm cannula", calc.StateUntested, 0, ""})
	long := whole
	long.Group = "The Saltmarsh Lane and Outer Marshes Joint Study Circle of Injectors, Northern Section"
	long.Rows = nil
	for _, row := range whole.Rows {
		row.Product, row.Setup = longName, longSetup
		long.Rows = append(long.Rows, row)
	}
	one := whole
	one.Rows, one.Notes = whole.Rows[:1], nil
	return map[string]Mine{"every state": whole, "long names": long, "one": one}
}

// ISO 216: A6 is 105 mm by 148 mm. Lettering of 30 of 1080 px on it is 2.9 mm, 8 points.
func TestASheetIsA6AndPrintsInItsSize(t *testing.T) {
	p, err := mineScenes()["every state"].Draw(1)
	if err != nil {
		t.Fatal(err)
	}
	size := read(t, p).Bounds().Size()
	near(t, "height for width", float64(size.Y)/float64(size.X), 148.0/105, 0.001)
	// PNG specification, 11.3.5.3: two times pixels a unit, then 1 for the metre.
	at := strings.Index(string(p.PNG), "pHYs")
	if at != 8+25+4 {
		t.Fatalf("the size on paper stands at %d, want right behind the header", at)
	}
	body := p.PNG[at : at+4+9]
	across, down := binary.BigEndian.Uint32(body[4:]), binary.BigEndian.Uint32(body[8:])
	near(t, "width on paper, mm", 1000*float64(size.X)/float64(across), 105, 0.01)
	near(t, "height on paper, mm", 1000*float64(size.Y)/float64(down), 148, 0.1)
	if body[12] != 1 || binary.BigEndian.Uint32(p.PNG[at+4+9:]) != crc32.ChecksumIEEE(body) {
		t.Error("the size on paper is in another unit, or its sum is wrong")
	}
}

// Every row stands on one sheet, in its order, and no sheet is higher than the paper.
func TestSheetsHoldEveryRowOnce(t *testing.T) {
	for name, m := range mineScenes() {
		next := 0
		for page := 1; page <= m.Pages(); page++ {
			from, to := m.Span(page)
			p, err := m.Draw(page)
			if err != nil {
				t.Fatalf("%s, sheet %d: %v", name, page, err)
			}
			if high := read(t, p).Bounds().Dy(); from != next || to <= from || high != int(math.Ceil(mineHeight)) {
				t.Errorf("%s, sheet %d: rows %d to %d behind %d, %d px high", name, page, from, to, next, high)
			}
			next = to
		}
		if next != len(m.Rows) {
			t.Errorf("%s: %d of %d rows", name, next, len(m.Rows))
		}
	}
	if n := mineScenes()["long names"].Pages(); n < 2 {
		t.Errorf("twelve long rows on %d sheet", n)
	}
}

// The words for whoever cannot see the sheet say each row as it is drawn.
func TestTheWordsOfASheet(t *testing.T) {
	m := mineScenes()["every state"]
	p, err := m.Draw(1)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"2026-11-24", "At 0.1 mL pull, up to 10 s.", "Sheet 1 of 2.", "Tamsel Fine, 27G 13 mm: HOLD 6 s, 8 tests by " +
			"6 members.",
		"Orrick Mid, 30G 13 mm: NO HOLD, too slow.", altCaveats,
	} {
		if !strings.Contains(p.Alt, want) {
			t.Errorf("%q is not in %q", want, p.Alt)
		}
	}
	if p, err = m.Draw(2); err != nil || !strings.Contains(p.Alt, "29G 13 mm, 25G 38 mm cannula: UNTESTED.") {
		t.Errorf("%s, %v", p.Alt, err)
	}
}

// What is seen of a row without colour: the marks of two states differ in their shape,
// and the words beside them.
func TestRowsOfASheetDifferByMarkAndWord(t *testing.T) {
	m := mineScenes()["one"]
	draw := func(row MineRow) pixels {
		m.Rows = []MineRow{row}
		p, err := m.Draw(1)
		if err != nil {
			t.Fatal(err)
		}
		return read(t, p)
	}
	box := draw(MineRow{"A", "30G 13 mm", calc.StateUntested, 0, ""})
	for _, v := range looks() {
		row := MineRow{"A", "30G 13 mm", v.State, 0, ""}
		if v.State == calc.StateHold {
			row.Hold = 3
		}
		if in, _ := differences(draw(row), box, box.Bounds()); in < 1000 {
			t.Errorf("%s differs from untested in %d pixels", v.Short, in)
		}
	}
}

func TestSheetsThatCannotBeDrawn(t *testing.T) {
	whole := mineScenes()["one"]
	for what, spoil := range map[string]func(*Mine){
		"no such page":           nil,
		"a state that is none":   func(m *Mine) { m.Rows = []MineRow{{State: "nearly"}} },
		"a hold that is none":    func(m *Mine) { m.Rows = []MineRow{{State: calc.StateTooSlow, Hold: 3}} },
		"a hold without seconds": func(m *Mine) { m.Rows = []MineRow{{State: calc.StateHold}} },
		"past the ceiling":       func(m *Mine) { m.Rows = []MineRow{{State: calc.StateHold, Hold: 11}} },
		"no ceiling":             func(m *Mine) { m.Ceiling = 0 },
	} {
		m, page := whole, 2
		if spoil != nil {
			page = 1
			spoil(&m)
		}
		if p, err := m.Draw(page); err == nil || p.PNG != nil {
			t.Errorf("%s: drawn, %v", what, err)
		}
	}
}

func TestTheCaveatsAreDrawnWhole(t *testing.T) {
	if drawn := strings.Join(quietLetter.wrap(caveatText, innerWidth, mostCaveatLines), " "); drawn != caveatText {
		t.Error(drawn)
	}
}
