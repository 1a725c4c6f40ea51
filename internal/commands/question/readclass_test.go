package question

import (
	"testing"

	"holdbench/internal/calc"
)

func TestClassesAreReadAsPeopleWriteThem(t *testing.T) {
	for text, want := range map[string]calc.GelClass{
		"firm": calc.FirmHA, "Firm HA": calc.FirmHA, "  HA, firm": "", "medium": calc.MediumHA, "CaHA": calc.CaHAPaste,
		"hyper-diluted CaHA": calc.DilutedCaHA, "non-crosslinked": calc.UncrosslinkedHA, "soft": calc.SoftHA,
		"not sure": calc.UnknownGel, "?": calc.UnknownGel, "Don’t know": calc.UnknownGel, "HA": "", "": "",
		"weich": calc.SoftHA, "HA ferme": calc.FirmHA, "suave": calc.SoftHA, "morbido": calc.SoftHA,
		"stevig": calc.FirmHA, "médio": calc.MediumHA, "Średni": calc.MediumHA, "verdünntes CaHA": calc.DilutedCaHA,
		"non réticulé": calc.UncrosslinkedHA, "fijn": calc.FineHA, "pâte": calc.CaHAPaste, "nie wiem": calc.UnknownGel,
		"twardy": calc.FirmHA, "weich oder fest": "", "dur ou souple": "",
		"firm or soft": "", "softish": "", "fíne": calc.FineHA,
	} {
		if got, ok := ReadClass(text); got != want || ok != (want != "") {
			t.Errorf("%q: %q, %t", text, got, ok)
		}
	}
	for _, class := range calc.GelClasses() {
		if got, ok := ReadClass(string(class)); got != class || !ok {
			t.Errorf("%q: %q", class, got)
		}
	}
}

func TestWallClassesAreReadWithAndWithoutTheWord(t *testing.T) {
	for text, want := range map[string]calc.WallClass{
		"thin": calc.Thin, "thin-walled": calc.Thin, "TW": calc.Thin, "ultra thin": calc.UltraThin,
		"UTW":             calc.UltraThin,
		"extra-thin wall": calc.ExtraThin, "regular": calc.Regular, "standard": calc.Regular, "not sure": "",
		"wall not recorded": "",
	} {
		if got, ok := ReadWall(text); got != want || !ok {
			t.Errorf("%q: %q, %t", text, got, ok)
		}
	}
	for _, text := range []string{"", "thick", "wall", "thin or regular"} {
		if got, ok := ReadWall(text); ok {
			t.Errorf("%q was read as %q", text, got)
		}
	}
}
