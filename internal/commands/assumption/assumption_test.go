package assumption

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func TestReadAssumption(t *testing.T) {
	for typed, want := range map[string]Assumption{
		"1 in 200":                                {0.005, "1 in 200"},
		"1 in 200 placements":                     {0.005, "1 in 200"},
		"One in 200":                              {0.005, "1 in 200"},
		"one in two hundred":                      {0.005, "1 in 200"},
		"one in fifty thousand":                   {2e-5, "1 in 50 000"},
		"one in a hundred thousand":               {1e-5, "1 in 100 000"},
		"one in fifty":                            {0.02, "1 in 50"},
		"one in a thousand":                       {0.001, "1 in 1000"},
		"about 1 in 200 of my placements":         {0.005, "1 in 200"},
		"1 out of 200 placements are in a vessel": {0.005, "1 in 200"},
		"5 in 1000":                               {0.005, "5 in 1000"},
		"1 in 10 000.":                            {1e-4, "1 in 10 000"},
		"1 in 10,000":                             {1e-4, "1 in 10 000"},
		"1-in-200":                                {0.005, "1 in 200"},
		"1 in every 50 injections":                {0.02, "1 in 50"},
		"1:200":                                   {0.005, "1 in 200"},
		"1 : 200":                                 {0.005, "1 in 200"},
		"1/200":                                   {0.005, "1 in 200"},
		"1 of 200":                                {0.005, "1 in 200"},
		"1 per 200":                               {0.005, "1 in 200"},
		"1:2":                                     {0.5, "1 in 2"},
		"0.5 %":                                   {0.005, "0.5 %"},
		"0,5%":                                    {0.005, "0.5 %"},
		".5 percent":                              {0.005, "0.5 %"},
		"0.5 per cent of placements":              {0.005, "0.5 %"},
		"0,125 %":                                 {0.00125, "0.125 %"},
		"90 %":                                    {0.9, "90 %"},
		"1 in 1 000 000":                          {1e-6, "1 in 1 000 000"},
		"  1\u00a0in\u00a0200 ":                   {0.005, "1 in 200"},
	} {
		got, err := Read(typed)
		if err != nil || math.Abs(got.Share-want.Share) > 1e-12 || got.Said != want.Said {
			t.Errorf("%q: %+v, %v; want %+v", typed, got, err, want)
		}
	}
}

// What is no assumption, or could be two, is sent back with a way to write it.
func TestReadAssumptionRefuses(t *testing.T) {
	for _, typed := range []string{
		"", "200", "0.005", "often", "1 in", "in 200", "1 in 0", "0 in 200", "0 %", "1 in 1", "100 %", "95 %",
		"-1 in 200", "1 in -200",
		"1 in 2 000 000", "1 in 99999999999999999999", "1,250 %", "1 in 200 mm", "1 in 200 in 300", "1 in 200 %",
		"1 in 200 and 1 in 300", "½ %", "1e-3 %",
		"NaN %", "1 in NaN", strings.Repeat("1 in 200 ", 20), "1 in 200 apples", "2 in 1",
	} {
		got, err := Read(typed)
		var user *Problem
		if !errors.As(err, &user) || user.What == "" || user.Hint == "" {
			t.Errorf("%q: %+v, %v", typed, got, err)
		}
	}
}

func TestCutAssumption(t *testing.T) {
	for typed, want := range map[string]struct{ said, rest string }{
		"orrick mid 30g 13mm, 1 in 200":                               {"1 in 200", "orrick mid 30g 13mm"},
		"1 in 200, Orrick Mid 30G 13 mm":                              {"1 in 200", "orrick mid 30g 13 mm"},
		"1 in 200 orrick mid 30g 13mm":                                {"1 in 200", "orrick mid 30g 13mm"},
		"if 1 in 200 placements are in a vessel: orrick mid 30g 13mm": {"1 in 200", ": orrick mid 30g 13mm"},
		"orrick mid 30g 13mm at 0.5 %":                                {"0.5 %", "orrick mid 30g 13mm"},
		"orrick mid 30g 13mm if 0.5% of placements are in a vessel":   {"0.5 %", "orrick mid 30g 13mm"},
		"orrick mid 30g 13mm 1:200":                                   {"1 in 200", "orrick mid 30g 13mm"},
		"hesk paste 1:1 27g 13mm, 1:200":                              {"1 in 200", "hesk paste 1:1 27g 13mm"},
		"orrick mid with 0.3% lidocaine 30g 13mm, one in two hundred": {"1 in 200",
			"orrick mid with 0.3% lidocaine 30g 13mm"},
		"assuming about 1 in 1 000, orrick mid 27g 1/2 inch, hold 8 s": {"1 in 1000",
			"orrick mid 27g 1/2 inch, hold 8 s"},
		"orrick mid 30g 13mm, 1 in 200, yes 1 in 200": {"1 in 200", "orrick mid 30g 13mm, , yes"},
		"1 of 200 placements, orrick mid 30g 13mm":    {"1 in 200", "orrick mid 30g 13mm"},
	} {
		got, rest, found, err := Cut(typed)
		if err != nil || !found || got.Said != want.said || rest != want.rest {
			t.Errorf("%q: %+v, %q, %t, %v", typed, got, rest, found, err)
		}
	}
}

// Sizes, dilutions, times and strengths are no assumption, and the text stays as it was.
func TestCutAssumptionLeavesOtherNumbersAlone(t *testing.T) {
	for _, typed := range []string{
		"", "Orrick Mid 30G 13 mm", "orrick mid 1 in 30G", "orrick mid 0.5 in 25 gauge",
		"orrick mid 1 1/2 in 25g cannula", "orrick mid 1/2 in 30g",
		"hesk paste 1:1 27g 13mm", "hesk 1:10 30g 13mm", "orrick mid with 0.3% lidocaine 30g 13mm", "orrick mid 27/30g",
		"hold 5 in 10 s",
		"3 of 10 tests showed", "orrick mid 27g 13mm on 12/11/2026", "at 12:30 orrick mid 27g 13mm",
		"at 1:30 orrick mid 27g 13mm", "my 1/12 client, orrick mid 27g 13mm", "orrick mid 1/31 in",
		"orrick mid,1 in 200,30g 13mm", "at 1:30:20", "0.2 ml in 27g 13mm",
	} {
		got, rest, found, err := Cut(typed)
		if found || err != nil || rest != typed {
			t.Errorf("%q: %+v, %q, %t, %v", typed, got, rest, found, err)
		}
	}
	var user *Problem
	for _, typed := range []string{"orrick mid, 1 in 200 or 1 in 300", "orrick mid 1 in 2 000 000",
		"orrick mid, 99 % of placements"} {
		if _, rest, found, err := Cut(typed); found || !errors.As(err, &user) || user.Hint == "" ||
			rest != typed {
			t.Errorf("%q: %t, %v", typed, found, err)
		}
	}
}

// Whatever is typed: an assumption or a refusal, and one that is said back is read
// as the same share.
func FuzzAssumption(f *testing.F) {
	for _, seed := range []string{"1 in 200", "0,5 %", "1:200 placements", "orrick mid 30g 13mm, one in a thousand",
		"1 in 1,000,000", "５ in 100", "1 in \xff", "2 in 3 in 4"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		a, err := Read(typed)
		if err == nil {
			checkAssumption(t, typed, a)
		}
		if a, _, found, err := Cut(typed); found {
			if err != nil {
				t.Fatalf("%q: %v", typed, err)
			}
			checkAssumption(t, typed, a)
		}
	})
}

func checkAssumption(t *testing.T, typed string, a Assumption) {
	t.Helper()
	if !(a.Share >= leastAssumed && a.Share <= mostAssumed) {
		t.Fatalf("%q: %+v", typed, a)
	}
	again, err := Read(a.Said)
	if err != nil || math.Abs(again.Share-a.Share) > 1e-12*a.Share || again.Said != a.Said {
		t.Fatalf("%q is said %q, which reads %+v, %v", typed, a.Said, again, err)
	}
}
