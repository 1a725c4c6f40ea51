package commands

import (
	"cmp"
	"context"
	"strings"

	"holdbench/internal/commands/logline"
	"holdbench/internal/commands/question"
	"holdbench/internal/knowledge"
	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

// The fields of the form that logs a test.
const (
	gelField    = "gel"
	setupField  = "setup"
	resultField = "result"
	benchField  = "bench"
	noteField   = "note"
)

// logForm is a test in five lines, filled in from the asker's last test but for the result.
func logForm() *Form {
	return &Form{
		Title: "Log a bench test",
		Fields: []Field{
			{Name: gelField, Label: "Gel", Help: "as it is called on the box", Most: 100, Required: true},
			{Name: setupField, Label: "Needle or cannula, and syringe",
				Help: "as in 30G 13 mm needle, supplied syringe", Most: 100, Required: true},
			{Name: resultField, Label: "Seconds, none, or film from–to", Help: "7.13, none, 0:12.40–0:17.13, or " +
				"frames 372–514 at 30 fps", Most: 60, Required: true,
				FilmLabel: "From–to on the film, in frames or seconds", FilmHelp: "frames 372–514 at 30 fps, or " +
					"0:12.40–0:17.13; else the seconds, or none"},
			{Name: benchField, Label: "On the bench", Help: "as last time: change what was different", Most: 150},
			{Name: noteField, Label: "Note", Help: "anything odd about the test, nothing about a patient", Most: 200,
				Long: true},
		},
		Post: "Log this test",
		Fill: fillLog,
		Read: readLogForm,
	}
}

// fillLog fills the form in from the request or the post, and the rest from the asker's last test.
func fillLog(ctx context.Context, env *Env, req Request) (map[string]string, error) {
	last, tested, err := latestTest(ctx, env, req.Asker, "")
	if err != nil {
		return nil, err
	}
	v, err := env.view(ctx)
	if err != nil {
		return nil, err
	}
	bench := usualBench()
	last.TestedOn, last.Lot = "", trade.Lot{} // a new test has a day of its own, and maybe another box
	filled := map[string]string{resultField: req.value("seconds"), noteField: req.value("note")}
	if tested {
		if bench = last; bench.Timing == quantity.ByTaps {
			bench.Timing = usualTiming // what is typed was not tapped
		}
		filled[gelField], filled[setupField] = last.Combination.Product.Name, setupWords(last.Combination)
	}
	if req.Post != nil {
		fillFromPost(v, req.Post.Text, filled, &bench)
	}
	if req.About != "" {
		c, err := pinned(v.lists, req.About)
		if err != nil {
			return nil, err
		}
		filled[gelField], filled[setupField] = c.Product.Name, setupWords(c)
	}
	fillFromOptions(req, filled)
	filled[benchField] = benchFromOptions(req, bench)
	return filled, nil
}

// measures read the options that are a measure.
var measures = map[string]func(string) (float64, error){
	"pull": quantity.Volume, "temperature": quantity.Temperature, "watched": quantity.Seconds,
}

// benchFromOptions is the bench in one line; options go before what is in bench.
func benchFromOptions(req Request, bench knowledge.BenchTest) string {
	for name, to := range map[string]*float64{"pull": &bench.PullML, "temperature": &bench.LiquidC,
		"watched": &bench.WatchedS} {
		if v, err := measures[name](req.value(name)); err == nil {
			*to = v
		}
	}
	if lot := req.value(lotOption); lot != "" {
		bench.Lot, _ = logline.TakeLot("lot " + strings.TrimPrefix(lot, "lot "))
	}
	for name, to := range map[string]*string{"liquid": &bench.Liquid, "timing": &bench.Timing} {
		if v := req.value(name); v != "" {
			*to = v
		}
	}
	line := benchLine(bench)
	if date := cmp.Or(req.value("date"), bench.TestedOn); date != "" {
		line += ", " + date
	}
	return line
}

// fillFromOptions puts the options that name the combination into the fields.
func fillFromOptions(req Request, filled map[string]string) {
	if gel := req.value(productOption); gel != "" {
		filled[gelField] = gel
	}
	var setup []string
	for _, name := range []string{instrumentOption, syringeOption} {
		if value := req.value(name); value != "" {
			setup = append(setup, value)
		}
	}
	if len(setup) > 0 {
		filled[setupField] = strings.Join(setup, ", ")
	}
}

// setupWords is a combination without its gel: "30G 13 mm needle, supplied syringe".
func setupWords(c trade.Combination) string {
	return strings.TrimPrefix(c.String(), c.Product.Name+", ")
}

// readLogForm reads the five lines into options. The command asks about a gel's name that is not on the list, as it
// does when it is typed.
func readLogForm(v view, filled map[string]string) (map[string]string, error) {
	values, err := readBench(filled[benchField], v.now)
	if err != nil {
		return nil, err
	}
	values[productOption] = filled[gelField]
	values["seconds"] = filled[resultField]
	if note := strings.Join(strings.Fields(filled[noteField]), " "); note != "" {
		values["note"] = strings.TrimPrefix(values["note"]+"; "+note, "; ")
	}
	values[instrumentOption], values[syringeOption] = readSetup(v.index, filled[setupField])
	return withoutStopwatch(values, filled[resultField]), nil
}

// withoutStopwatch takes the stopwatch out of the options of a test that was read off a film: the form had it filled in
// before anything was typed.
func withoutStopwatch(values map[string]string, result string) map[string]string {
	_, film, err := quantity.ReadFilm(result, usualFPS)
	if film && err == nil && strings.EqualFold(strings.TrimSpace(values["timing"]), usualTiming) {
		delete(values, "timing")
	}
	return values
}

// readSetup reads a needle or cannula and a syringe out of one line. A line that it cannot read is the instrument as it
// stands, for the command to ask about.
func readSetup(index *question.Index, line string) (instrument, syringe string) {
	if read := index.ReadSetup(line); read.Known && len(read.Rest) == 0 && read.PullML == 0 {
		return read.Instrument.Name(), read.Syringe.Filled().Name
	}
	return line, ""
}
