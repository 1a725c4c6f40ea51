package trade

import (
	"errors"
	"strings"
	"testing"
)

func TestFreeTextThatLooksLikePatientDataIsRefused(t *testing.T) {
	for what, texts := range map[string][]string{
		"an e-mail address": {
			"ask jane@example.org", "J.Doe+x@mail.example.co.uk", "jane @ example.org", "jane＠example.org",
		},
		"a date of birth": {
			"DOB 12 March", "d.o.b. see file", "born in spring", "date of birth withheld", "birthday today",
			"12/03/1980", "3.12.80", "1980-03-12", "12-03-58", "12 March 1975", "March 12, 1975", "12 mar 75",
			"4th of July 1990", "19800312",
			"١٢/٠٣/١٩٨٠",
		},
		"a record number": {
			"MRN 448812", "mrn:12", "NHS 943 476 5919", "patient no 8812", "patient id: 77", "record number 4471",
			"chart #8812",
			"hospital no. 123456", "case number 55512", "SSN 12", "pt 4471", "passport X1234567", "insurance no 99 12",
		},
		"a phone number": {
			"+44 7700 900123", "+1 (555) 010-1234", "call 555-0101", "(0)20 7946 0958", "07700 900123", "0161 496 0000",
		},
		"a phone or record number": {
			"07700900123", "123-45-6789", "4471882", "943 476 5919", "555.010.1234", "ring 555 010 1234",
			"01 23 45 67 89", "٠٧٧٠٠٩٠٠١٢٣",
		},
	} {
		for _, text := range texts {
			err := CheckFreeText("note", text)
			var f *FieldError
			if !errors.As(err, &f) || !strings.Contains(f.Problem, "looks like "+what+";") {
				t.Errorf("%q: got %v, want it to look like %s", text, err, what)
			} else if strings.Contains(f.Problem, text) {
				t.Errorf("%q is repeated in %q", text, f.Problem)
			}
		}
	}
}

func TestNotesOfTheTradeAreKept(t *testing.T) {
	for _, text := range []string{
		"", "typed in from paper", "needle clogged at first, warmed to 37 C", "lot 1234567", "batch 23A456",
		"LOT: 88123345-2", "ref 5550101",
		"expired 2026-03", "expired 03/2026", "retest of 2026-05-05", "retest of 05.05.26", "see 5 May 2026",
		"exp 31/12/2027",
		"0.45 0.50 0.52 0.48 0.51", "1.2 / 1.3 / 1.1", "times 2.5, 3.1, 2.8, 2.2", "held 10 s, 20 s, 30 s", "10 20 30",
		"27G 13 mm, then 30G 13 mm",
		"glycerol-water 40%", "pull 0.1 mL at 20 kPa", "camera at 240 fps, 1920x1080", "frames 1234 to 1276",
		"second of 5-6", "24-25 C",
		"Hesk Paste 1:1 mixed 12 times", "no patient was near", "bore 0.165", "half past 10:30", "ratio 3:1:1",
		"hub at 5 mm",
	} {
		if err := CheckFreeText("note", text); err != nil {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func TestTextThatIsNoTextIsRefused(t *testing.T) {
	for _, text := range []string{"\xff\xfe", "a\x00b", "a\tb", "a\u2028b", "a\u202eb", strings.Repeat("x", 201)} {
		if CheckFreeText("note", text) == nil {
			t.Errorf("%q went through", text)
		}
	}
}
