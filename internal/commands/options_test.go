package commands

import (
	"context"
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// sampleCommand has an option of every kind that needs no community.
func sampleCommand(free bool) *Command {
	return &Command{
		Name: "sample", Free: free,
		Options: []Option{
			{Name: "gel", Help: "the gel", Required: true},
			{Name: "pull", Kind: Number, Unit: "mL", Min: 0.01, Max: 5},
			{Name: "warmth", Kind: Number, Unit: "°C", Min: -5, Max: 45},
			{Name: "fps", Kind: Whole, Min: 1, Max: 960},
			{Name: "filmed", Kind: YesNo},
			{Name: "timing", Choices: []string{"Stopwatch", "Video"}},
		},
	}
}

func readSample(free bool, line string) (*Call, error) {
	call, err := sampleCommand(free).call(context.Background(), &Env{}, nil, Typed("/sample "+line, Asker{}))
	return call, err
}

func TestOptionsAreRead(t *testing.T) {
	cases := []struct {
		scene, line string
		want        map[string]Value
	}{
		{"quoted", `gel:"Orrick Mid" pull:0.2`,
			map[string]Value{"gel": {Text: "Orrick Mid"}, "pull": {Text: "0.2", Number: 0.2}}},
		{"not quoted", `gel:Orrick Mid pull:0.2 mL`,
			map[string]Value{"gel": {Text: "Orrick Mid"}, "pull": {Text: "0.2 mL", Number: 0.2}}},
		{"a dilution is no option", `gel:Hesk Paste 1:1 fps:60`,
			map[string]Value{"gel": {Text: "Hesk Paste 1:1"}, "fps": {Text: "60", Number: 60}}},
		{"curly quotes from a phone", `gel:“Orrick Mid” filmed:Y`,
			map[string]Value{"gel": {Text: "Orrick Mid"}, "filmed": {Text: "Y", Yes: true}}},
		{"name in capitals", `GEL:x Timing:video`, map[string]Value{"gel": {Text: "x"}, "timing": {Text: "Video"}}},
		{"decimal comma", `gel:x pull:0,05ml`,
			map[string]Value{"gel": {Text: "x"}, "pull": {Text: "0,05ml", Number: 0.05}}},
		{"no leading zero", `gel:x pull:.1cc`,
			map[string]Value{"gel": {Text: "x"}, "pull": {Text: ".1cc", Number: 0.1}}},
		{"degrees", `gel:x warmth:-2°C`, map[string]Value{"gel": {Text: "x"}, "warmth": {Text: "-2°C", Number: -2}}},
		{"degrees apart", `gel:x warmth:21 c`,
			map[string]Value{"gel": {Text: "x"}, "warmth": {Text: "21 c", Number: 21}}},
	}
	for _, c := range cases {
		t.Run(c.scene, func(t *testing.T) {
			call, err := readSample(false, c.line)
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(c.want, call.values); d != "" {
				t.Error(d)
			}
		})
	}
}

func TestFreeTextKeepsWhatIsNoOption(t *testing.T) {
	call, err := readSample(true, `my 2.30 is here: tall:one soft gel:"Orrick Mid" thanks`)
	if err != nil {
		t.Fatal(err)
	}
	if want := "my 2.30 is here: tall:one soft thanks"; call.text != want || call.value("gel") != "Orrick Mid" {
		t.Errorf("text %q, values %v", call.text, call.values)
	}
}

func TestAnOptionWithTwoReadingsIsAskedAbout(t *testing.T) {
	_, err := readSample(false, `gel:x pull:1,000`)
	var back *questionBack
	if !errors.As(err, &back) || !strings.Contains(back.Title, "The option pull with “1,000” can be read in two ways.") ||
		len(back.Choices) != 2 || back.Choices[0].Request.value("pull") != back.Choices[0].Label {
		t.Errorf("error %v: %+v", err, back)
	}
}

func TestOptionFaultsNameTheOptionAndWhatIsTaken(t *testing.T) {
	cases := []struct {
		scene, line string
		want        []string
	}{
		{"missing", `pull:0.1`, []string{"gel", "missing"}},
		{"empty", `gel:" "`, []string{"gel", "missing"}},
		{"unknown option", `gel:x depth:3`, []string{"depth", "gel, pull"}},
		{"text where none is taken", `hello gel:x`, []string{"hello", "name:value"}},
		{"twice", `gel:x gel:y`, []string{"gel", "twice"}},
		{"open quote", `gel:"x`, []string{"gel", "quotation"}},
		{"not a number", `gel:x pull:lots`, []string{"pull", "lots", "0.01 to 5 mL"}},
		{"not a number at all", `gel:x pull:NaN`, []string{"pull", "0.01 to 5 mL"}},
		{"infinite", `gel:x pull:Inf`, []string{"pull", "0.01 to 5 mL"}},
		{"negative", `gel:x pull:-1`, []string{"pull", "0.01 to 5 mL"}},
		{"too large", `gel:x pull:1e9`, []string{"pull", "0.01 to 5 mL"}},
		{"other unit", `gel:x pull:0.1 mm`, []string{"pull", "0.01 to 5 mL"}},
		{"not whole", `gel:x fps:29.97`, []string{"fps", "whole", "1 to 960"}},
		{"not yes or no", `gel:x filmed:perhaps`, []string{"filmed", "yes or no"}},
		{"none of the choices", `gel:x timing:sundial`, []string{"timing", "Stopwatch or Video"}},
		{"too long a value", `gel:` + strings.Repeat("x", maxValue+1), []string{"gel", "200"}},
		{"too long a line", strings.Repeat("x", maxText+1), []string{"2000"}},
	}
	for _, c := range cases {
		t.Run(c.scene, func(t *testing.T) {
			_, err := readSample(false, c.line)
			var user *UserError
			if !errors.As(err, &user) {
				t.Fatalf("error %v", err)
			}
			for _, want := range c.want {
				if !strings.Contains(user.Error(), want) {
					t.Errorf("%q does not say %q", user, want)
				}
			}
		})
	}
}

func TestTypedTellsCommandsFromQuestions(t *testing.T) {
	if r := Typed("  orrick mid 30g ", Asker{}); r.Command != holdName || r.Text != "orrick mid 30g" {
		t.Errorf("%+v", r)
	}
	if r := Typed("/Record  Tests  orrick mid", Asker{}); r.Command != testsName || r.Text != "orrick mid" {
		t.Errorf("%+v", r)
	}
}

func TestLineCanBeTypedAgain(t *testing.T) {
	req := Request{Command: logName, Values: map[string]string{
		"product": "Hesk Paste 1:1", "instrument": "30G 13 mm needle", "seconds": "none",
	}}
	line := req.Line()
	if want := `/log product:"Hesk Paste 1:1" instrument:"30G 13 mm needle" seconds:none`; line != want {
		t.Errorf("%s", line)
	}
	_, values, err := logCommand.split(Typed(line, Asker{}).Text)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(req.Values, values); d != "" {
		t.Error(d)
	}
}

func FuzzTypedLine(f *testing.F) {
	f.Add(`gel:"Orrick Mid" pull:0.2 mL`)
	f.Add(`gel:x fps:9e9 filmed:"`)
	f.Fuzz(func(t *testing.T, line string) {
		for _, free := range []bool{false, true} {
			_, err := readSample(free, line)
			var user *UserError
			if err != nil && !errors.As(err, &user) {
				t.Fatalf("%q: %v", line, err)
			}
		}
	})
}

func TestHelpNeedsNoSlash(t *testing.T) {
	for line, want := range map[string]string{
		"help": helpName, " Help? ": helpName, "HELP!!": helpName,
		"help me with orrick mid 27g 13mm": holdName,
	} {
		if got := Typed(line, Asker{}).Command; got != want {
			t.Errorf("%q asks /%s, want /%s", line, got, want)
		}
	}
}
