package testsheet

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"holdbench/internal/commands/question"
	"holdbench/internal/sheet"
	"holdbench/internal/trade"
)

func lists() Lists {
	gels := []trade.Product{{ID: 1, Name: "Orrick Mid", Aliases: []string{"o mid"}}, {ID: 2, Name: "Tamsel Soft"}}
	needles := []trade.Instrument{{ID: 1, Kind: trade.Needle, Gauge: 27, LengthMM: 13},
		{ID: 2, Kind: trade.Needle, Gauge: 30, LengthMM: 13}, {ID: 3, Kind: trade.Cannula, Gauge: 25, LengthMM: 38}}
	syringes := []trade.Syringe{{ID: 1, Name: trade.Supplied},
		{ID: 2, Name: "fixed-needle 0.3 mL", FixedNeedle: true, VolumeML: 0.3}}
	return Lists{Index: question.NewIndex(gels, needles, syringes), Products: gels, Instruments: needles,
		Members: []string{"osier", "tidewell"}, Today: time.Date(2026, 11, 24, 12, 0, 0, 0, time.UTC),
		Near:    func(string, string) bool { return false },
		Similar: func(string) []trade.Product { return nil },
		Usual: Usual{Liquid: "whole milk", LiquidC: 20, PullML: 0.1, Timing: "stopwatch", FilmFPS: 30,
			WatchedS: 30}}
}

// readRows are the rows of a sheet as a file has them, its headings left out, faults among them.
func readRows(t *testing.T, text string, answers Answers) (rows []string) {
	t.Helper()
	open := func() (*sheet.Table, error) {
		return sheet.Open(strings.NewReader(text), int64(len(text)), sheet.Limits{Bytes: 1 << 20, Rows: 100}, nil)
	}
	plan, err := Survey(open, lists(), answers)
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range plan.Open() {
		rows = append(rows, "? "+q.Text)
	}
	reader, err := plan.Rows(open)
	if err != nil {
		t.Fatal(err)
	}
	defer reader.Close()
	if _, err := reader.Next(); err != nil {
		t.Fatal(err)
	}
	for {
		row, err := reader.Next()
		var fault *sheet.Fault
		switch {
		case errors.Is(err, io.EOF):
			return rows
		case errors.As(err, &fault):
			rows = append(rows, fault.Why)
		case err != nil:
			t.Fatal(err)
		default:
			rows = append(rows, strings.TrimRight(strings.Join(row.Cells, "|"), "|"))
		}
	}
}

// What a person who keeps a log writes into its cells, and the test that it is. want has the
// liquid and its temperature, the pull, the seconds watched, the outcome, its seconds and the
// timing; then the note, the marks and the link of a film, the lot and its expiry.
func TestCellsOfATest(t *testing.T) {
	const usual = "whole milk|20|0.1|30|flashback|7.8|stopwatch"
	for _, c := range []struct{ headings, cells, want string }{
		// seconds as they are read off
		{"Seconds", "7.8", usual},
		{"Seconds", "7.8 s", usual},
		{"Seconds", "7,8", strings.Replace(usual, "7.8", "7,8", 1)}, // as it was typed
		{"Time (min)", "0.5", "whole milk|20|0.1|30|flashback|30|stopwatch"},
		{"Seconds", "0:12.40-0:17.13", "whole milk|20|0.1|30|flashback|4.73|video 30 fps||0:12.40-0:17.13"},
		{"Seconds", "44", "whole milk|20|0.1|44|flashback|44|stopwatch"}, // watched at least until it came
		{"Result", "7.8", usual},
		{"Time 1|Time 2", "7.8|8.1", usual + " & " + strings.Replace(usual, "7.8", "8.1", 1)},
		// whether flashback came
		{"Seconds|Flashback?", "7.8|yes", usual},
		{"Seconds|Flashback?", "7.8|Y", usual},
		{"Seconds|Flashback?", "7.8|ja", usual},
		{"Seconds|Flashback?", "7.8|x", usual},
		{"Seconds|Flashback?", "7.8|pos.", usual},
		{"Seconds|Flashback?", "45|no", "whole milk|20|0.1|45|none||stopwatch"},
		{"Seconds|Flashback?|Watched", "|nein|60", "whole milk|20|0.1|60|none||stopwatch"},
		{"Seconds|Watched", "none|60 s", "whole milk|20|0.1|60|none||stopwatch"},
		{"Seconds", "none in 60", "whole milk|20|0.1|60|none||stopwatch"},
		{"Result", "no flashback 60 s", "whole milk|20|0.1|60|none||stopwatch"},
		{"Seconds|No flashback", "|45", "whole milk|20|0.1|45|none||stopwatch"},
		{"Seconds|No flashback", "7.8|no", usual},
		{"Seconds|No flashback|Watched", "|x|60", "whole milk|20|0.1|60|none||stopwatch"},
		{"Seconds|Notes", "none|watched 45 s", "whole milk|20|0.1|45|none||stopwatch|watched 45 s"},
		// the bench
		{"Seconds|Temp", "7.8|21 C", "whole milk|21|0.1|30|flashback|7.8|stopwatch"},
		{"Seconds|Temp (C)", "7.8|37", "whole milk|37|0.1|30|flashback|7.8|stopwatch"},
		{"Seconds|Liquid", "7.8|40% glycerol", "glycerol-water 40%|20|0.1|30|flashback|7.8|stopwatch"},
		{"Seconds|Pull", "7.8|0,2", "whole milk|20|0.2|30|flashback|7.8|stopwatch"},
		{"Seconds|Pull (mL)", "7.8|0.2", "whole milk|20|0.2|30|flashback|7.8|stopwatch"},
		{"Seconds|fps", "7.8|29.97", "whole milk|20|0.1|30|flashback|7.8|video 29.97 fps"},
		{"Seconds|Timing", "7.8|60", "whole milk|20|0.1|30|flashback|7.8|video 60 fps"},
		// what is kept beside it, and what is not
		{"Seconds|Notes|Comments", "7.8|hub wobbled|second of 3", usual + "|hub wobbled; second of 3"},
		{"Seconds|Note", "7.8|n/a", usual},
		{"Seconds|Link", "7.8|https://films.example/1", usual + "|||https://films.example/1"},
		{"Seconds|Lot|Exp", "7.8|A113|03/2027", usual + "||||A113|03/2027"},
		{"Seconds|Patient name", "7.8|Mrs Reed", usual},
		// what is no test
		{"Seconds", "", "seconds: nothing says when flashback came, or that none did"},
		{"Seconds|Flashback?", "|yes", "seconds: nothing says when flashback came, or that none did"},
		{"Seconds|Flashback?", "7.8|cancel", "seconds: cancel 7.8 is not a time: write it like 7.13 s or 1:12"},
		{"Seconds|Watched", "none|", "? In 1 row no flashback came, and how long it was watched is not said. How long?" +
			" & watched: none, and nothing says for how long"},
		{"Seconds", ">30", "seconds: >30 is no time that was read off"},
		{"Seconds", "7.8, 8.1", "seconds: 7.8, 8.1 is not a time: write it like 7.13 s or 1:12"},
		{"Seconds", "soon", "soon is not one result: write seconds, none, or a film's start and end"},
		{"Seconds|Temp", "7.8|70 F", "70 F is not a temperature, like 20 °C"},
		{"Seconds|Pull", "7.8|2 ml", "pull: 2 cannot be; it takes 0.01 to 1 mL"},
	} {
		text := "Date|Gel|Needle|Who|" + c.headings + "\n2026-11-20|o mid|27g 13mm|Osier|" + c.cells + "\n"
		got := strings.ReplaceAll(strings.Join(readRows(t, text, Answers{}), " & "),
			"2026-11-20|osier|Orrick Mid|27G 13 mm needle|supplied|", "")
		if got != c.want {
			t.Errorf("%s: %s\ngot  %s\nwant %s", c.headings, c.cells, got, c.want)
		}
	}
}

// The day, the member and the combination as they are written, and as the lists have them.
func TestCellsOfADayAMemberAndACombination(t *testing.T) {
	const usual = "2026-11-20|osier|Orrick Mid|27G 13 mm needle|supplied"
	for _, c := range []struct {
		headings, cells string
		answers         Answers
		want            string
	}{
		{"Date|Gel|Needle|Who", "2026-11-20|o mid|27g half inch|OSIER", nil, usual},
		{"Date|Gel|Needle|Who", "Fri 20 Nov 2026|Orrick Mid|27 13|osier", nil, usual},
		{"Date|Gel|Needle|Who", "20/11/26|Orrick Mid|27g 13 mm|osier", nil, usual},
		{"Date|Gel|Needle|Who", "11/20/2026|Orrick Mid|27g 13 mm|osier", nil, usual},
		{"Date|Gel|Needle|Who", "2026-11-20 14:05|Orrick Mid|27g 13 mm|osier", nil, usual},
		{"Date|Gel|Needle|Who", "46346|Orrick Mid|27g 13 mm|osier", nil, usual}, // as a spreadsheet counts days
		{"Day tested|Filler|Gauge|Length|Type|Tester", "yesterday|Tamsel Soft|25|38|cannula|tidewell", nil,
			"2026-11-23|tidewell|Tamsel Soft|25G 38 mm cannula|supplied"},
		{"Date|Combination|Who", "2026-11-20|orrick mid 27g 13mm|osier", nil, usual},
		{"Date|Gel|Needle|Syringe|Who", "2026-11-20|o mid|27g 13mm|0.3 ml fixed needle|osier", nil,
			strings.Replace(usual, "supplied", "fixed-needle 0.3 mL", 1)},
		{"Date|Gel|Needle|Who", "03/04/2026|Orrick Mid|27g 13 mm|osier", Answers{orderKey: DayFirst},
			strings.Replace(usual, "2026-11-20", "2026-04-03", 1)},
		{"Date|Gel|Needle|Who", "2026-11-20|Orick|27g 13 mm|osier", Answers{"gel orick": ItIs + "orrick mid"}, usual},
		{"Date|Gel|Needle|Who", "2026-11-20|Orick|27g 13 mm|osier", Answers{"gel orick": LeaveOut}, ""},
		{"Date|Gel|Needle", "2026-11-20|Orrick Mid|27g 13 mm", Answers{"all member": "osier"}, usual},
		{"Date|Gel|Needle|Who", "03/04/2026|Orrick Mid|27g 13 mm|osier", nil,
			"? Is 03/04/2026 written day first or month first? & day: 03/04/2026 is 3 April or 4 March"},
		{"Date|Gel|Needle|Who", "2026-12-20|Orrick Mid|27g 13 mm|osier", nil, "day: 2026-12-20 is still to come"},
		{"Date|Gel|Needle|Who", "|Orrick Mid|27g 13 mm|osier", nil, "day: is missing"},
		{"Date|Gel|Needle|Who", "2026-11-20|Orrick Mid||osier", nil, "instrument: is missing"},
		{"Date|Gel|Needle|Who", "2026-11-20|Mystery|27g 13 mm|osier", nil,
			`? "Mystery", in 1 row from line 2, is on no list. What is it? & gel: "Mystery" is on no list`},
		{"Date|Gel|Needle|Syringe|Who", "2026-11-20|o mid|27g 13mm|big one|osier", nil,
			`syringe: "big one" is not read; write supplied, or as in fixed-needle 0.3 mL`},
	} {
		text := c.headings + "|Seconds\n" + c.cells + "|7.8\n"
		got := strings.ReplaceAll(strings.Join(readRows(t, text, c.answers), " & "),
			"|whole milk|20|0.1|30|flashback|7.8|stopwatch", "")
		if got != c.want {
			t.Errorf("%s: %s\ngot  %s\nwant %s", c.headings, c.cells, got, c.want)
		}
	}
}

// Rows that are no test are passed over: a blank one, a line between sessions, the headings
// once more. A blank cell is what stands above it, once that was answered.
func TestRowsOfATest(t *testing.T) {
	const text = "Our bench log|||\nDate|Gel|Needle|Who|Seconds\n2026-11-20|Orrick Mid|27g 13 mm|osier|7.8\n||||\n" +
		"Date|Gel|Needle|Who|Seconds\n||||8.1\n"
	same := Answers{}
	for _, f := range []Field{Gel, Instrument, Person, Day} {
		same[blankKey+string(f)] = asAbove
	}
	const test = "2026-11-20|osier|Orrick Mid|27G 13 mm needle|supplied|whole milk|20|0.1|30|flashback|%s|stopwatch"
	got := strings.Join(readRows(t, text, same), "\n")
	if want := fmt.Sprintf(test+"\n"+test, "7.8", "8.1"); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}
