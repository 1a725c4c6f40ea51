package question

import "testing"

func TestAnOptionIsTheWholeNameOrAskedAbout(t *testing.T) {
	ix := demoIndex()
	for text, want := range map[string]string{"orrick mid": "Orrick Mid", "OrrickMid": "Orrick Mid",
		"Órrick  Mid": "Orrick Mid", "o mid": "Orrick Mid",
		"hesk": "Hesk Paste", "Hesk Paste 1:1": "Hesk Paste 1:1", "deep": "Dunmere Deep"} {
		if r := ix.ReadProduct(text); !r.Known || r.Product.Name != want {
			t.Errorf("%q: %+v", text, r)
		}
	}
	for _, tail := range []string{"Plus", "S", "X", "0.5", "Long", "Short", "Gel", "Filler", "+", "2",
		"with lidocaine", "Max"} {
		for _, p := range demoProducts {
			if r := ix.ReadProduct(p.Name + " " + tail); r.Known {
				t.Errorf("%s %s was read as %s", p.Name, tail, r.Product.Name)
			}
		}
	}
	for _, text := range []string{"", "orick mid", "orrick", "quimbleton max", "orrick mid, 27g 13mm"} {
		if r := ix.ReadProduct(text); r.Known {
			t.Errorf("%q was read as %s", text, r.Product.Name)
		}
	}
	if r := ix.ReadProduct("orick mid"); len(r.Options) == 0 || r.Options[0].Name != "Orrick Mid" {
		t.Errorf("orick mid offers %+v", r.Options)
	}
}

func TestASetupIsReadWithoutAGel(t *testing.T) {
	ix := demoIndex()
	for text, want := range map[string]string{"30G 13 mm needle, supplied syringe": "30G 13 mm needle",
		"27g13mm": "27G 13 mm needle", "25g 38 cannula": "25G 38 mm cannula",
		"31g 8mm fixed needle 0.3 ml": "31G 8 mm needle", "30x13": "30G 13 mm needle"} {
		if r := ix.ReadSetup(text); !r.Known || r.Instrument.Name() != want {
			t.Errorf("%q: %+v", text, r)
		}
	}
	for _, text := range []string{"", "30g", "13mm", "27g and 30g 13mm", "300g 13mm"} {
		if r := ix.ReadSetup(text); r.Known || r.Problem == "" {
			t.Errorf("%q: %+v", text, r)
		}
	}
	if r := ix.ReadSetup("27g 13mm 7.1"); len(r.Rest) != 1 || r.Rest[0] != "7.1" {
		t.Errorf("rest %q", r.Rest)
	}
}
