package discord

import (
	"strings"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/discord/discordtest"
	"holdbench/internal/trade"
)

// Two gels that the desk asks about are told apart by a press, and asked about again once
// that is undone.
func TestGelsAreToldApartByAPress(t *testing.T) {
	s := play(t, discordtest.Options{})
	if _, err := s.group(t).AddProduct(t.Context(), trade.Product{Name: "Orick Mid", Class: calc.MediumHA}); err != nil {
		t.Fatal(err)
	}
	desk := func() discordtest.Message { return s.srv.Command(s.tess, s.guild, "trainer desk").Message() }
	asks := desk()
	wants(t, asks.Text(), "Orick Mid beside Orrick Mid")
	told := s.srv.Press(s.tess, asks, "they are two").Message()
	wants(t, told.Text(), "Two gels.")
	if text := desk().Text(); strings.Contains(text, "beside") {
		t.Errorf("asked again:\n%s", text)
	}
	wants(t, s.srv.Press(s.tess, told, "undo").Message().Text(), "Undone")
	wants(t, desk().Text(), "Orick Mid beside Orrick Mid")
}
