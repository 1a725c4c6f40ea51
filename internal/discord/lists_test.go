package discord

import (
	"strings"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/discord/discordtest"
)

// A trainer keeps the lists in order from the chat: a slip is undone by the button of
// its receipt, and by nobody else's press.
func TestATrainerUndoesASlipByTheButtonOfItsReceipt(t *testing.T) {
	s := play(t, discordtest.Options{})
	class := func() calc.GelClass {
		p, err := s.group(t).Product(t.Context(), "Tamsel Soft")
		if err != nil {
			t.Fatal(err)
		}
		return p.Class
	}
	set := s.srv.Command(s.tess, s.guild, "trainer gels class", discordtest.Opt("product", "Tamsel Soft"),
		discordtest.Opt("class", "firm HA")).Message()
	wants(t, set.Text(), "soft HA → firm HA", "[undo]")
	if class() != calc.FirmHA {
		t.Fatalf("class %q", class())
	}
	wants(t, s.srv.Press(s.tess, set, "undo").Message().Text(), "Undone: Tamsel Soft class set", "as it was before")
	if class() != calc.SoftHA {
		t.Errorf("undone: class %q", class())
	}
	wants(t, s.srv.Press(s.tess, set, "undo").Message().Text(), "undone before")
}

// A merge shows what moves and moves it after a yes alone; it is taken apart by its
// button.
func TestAMergeAsksAndIsTakenApart(t *testing.T) {
	s := play(t, discordtest.Options{})
	products := func() int {
		all, err := s.group(t).Products(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		return len(all)
	}
	asked := s.srv.Command(s.tess, s.guild, "trainer gels merge", discordtest.Opt("product", "Orrick Mid"),
		discordtest.Opt("into", "Orrick Firm"),
		discordtest.Opt("reason", "one gel in two boxes")).Message()
	wants(t, asked.Text(), "Merge Orrick Mid into Orrick Firm?", "24 tests", "The classes differ")
	before := products() // ten in the demo group's files
	if before != 10 {
		t.Fatalf("%d gels: moved before a yes", before)
	}
	done := s.srv.Select(s.tess, asked, "yes, merge them").Message()
	wants(t, done.Text(), "Orrick Mid is part of it now", "[undo]")
	if products() != before-1 {
		t.Errorf("%d gels, before %d", products(), before)
	}
	wants(t, s.srv.Press(s.tess, done, "undo").Message().Text(), "as it was before")
	if products() != before {
		t.Errorf("taken apart: %d gels, before %d", products(), before)
	}
}

// A member corrects a test of their own by the form that opens where nothing is said of
// the change, and is asked once.
func TestATestIsCorrectedByTheForm(t *testing.T) {
	s := play(t, discordtest.Options{})
	wants(t, s.logged(s.ada).Message().Text(), "Logged as test 145")
	form := s.srv.Command(s.ada, s.guild, "record correct", discordtest.Opt("test", 145)).Modal()
	wants(t, form.Text(), "Correct a test", "What changes *")
	asked := s.srv.SubmitModal(s.ada, form, discordtest.Opt("change", "42.1 s")).Message()
	wants(t, asked.Text(), "Correct test 145", "24.1 s → 42.1 s", "Nothing changes until you say yes")
	done := s.srv.Select(s.ada, asked, "yes, correct it").Message()
	wants(t, done.Text(), "Corrected: test 146 replaces test 145.", "[as it was before]")
	if n := s.tests(t); n != 145 {
		t.Errorf("%d tests count, want 145", n)
	}
	wants(t, s.srv.Press(s.ada, done, "as it was before").Message().Text(), "Test 145 counts again")
	if n := s.tests(t); n != 145 {
		t.Errorf("%d tests count, want 145", n)
	}
	others := s.srv.Command(s.ada, s.guild, "record correct", discordtest.Opt("test", 1),
		discordtest.Opt("change", "2 s")).Message()
	if text := others.Text(); !strings.Contains(text, "somebody else's") {
		t.Errorf("somebody else's test: %s", text)
	}
}
