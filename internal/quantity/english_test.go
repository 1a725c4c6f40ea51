package quantity

import "testing"

func TestTheBenchIsReadInOtherLanguages(t *testing.T) {
	for text, want := range map[string]string{
		"7,2 s vollmilch": "whole milk", "7.2 s Lait entier, 20 °C": "whole milk",
		"lait demi-ecreme": "semi-skimmed milk",
		"agua":             "water", "AGUA DA TORNEIRA": "tap water", "ÁGUA": "water", "glycérine 40 %": "glycerol",
		"40% glicerina": "glycerol",
		"Stoppuhr":      "stopwatch", "chronomètre": "stopwatch", "chronometre": "stopwatch", "vídeo 60 fps": "video",
		"cámara lenta 120": "slow motion", "camara  lenta": "slow motion", "120 bilder pro sekunde": "fps",
		// English already, and parts of other words
		"whole milk": "", "video 60 fps": "", "glycerol": "", "flatter": "", "cronos": "", "laitier": "", "": "",
	} {
		from, to, got := InEnglish(text)
		if got != want {
			t.Errorf("%q: %q (%q), want %q", text, got, text[from:to], want)
		}
	}
	for text, want := range map[string]Timing{"Stoppuhr": {Stopwatch: true}, "zeitlupe 240": {FPS: 240},
		"vidéo 60 fps": {FPS: 60}} {
		if got, err := ReadTiming(text); err != nil || got != want {
			t.Errorf("%q is timed by %+v, %v; want %+v", text, got, err, want)
		}
	}
}
