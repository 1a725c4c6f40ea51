package commands

import (
	"bytes"
	"context"
	"crypto/rand"
	"fmt"
	"slices"
	"strconv"
	"sync"
	"time"

	"holdbench/internal/commands/testsheet"
	"holdbench/internal/fault"
	"holdbench/internal/knowledge"
	"holdbench/internal/sheet"
)

const importName = "trainer import"

// Attached is a file that came with a request. A surface fetches it where it is read.
type Attached struct {
	Name string
	Size int64
	Read func(ctx context.Context, most int64) ([]byte, error)
}

var importCommand = &Command{
	Name:    importName,
	Summary: "Take in a spreadsheet of tests, gels, needles or stock, as you keep it (trainer)",
	Help: "Attach .xlsx or CSV. What is unclear is asked once; then you see what would be added, what is there " +
		"already and which rows are bad, and nothing is stored before you say so. The member named in a row is " +
		"credited. Nothing about patients is taken in.",
	Options: []Option{
		{Name: "file", Help: "the spreadsheet", Kind: PlatformFile},
		{Name: "answer", Help: "an answer in your own words to what was asked last, as in: it is Orrick Mid"},
		{Name: "sheet", Help: "which sheet is meant", Unlisted: true},
		{Name: "step", Help: "how many answers were given", Unlisted: true, Kind: Whole, Max: 1000},
		{Name: "pick", Help: "which answer", Unlisted: true, Kind: Whole, Max: 100},
		{Name: "store", Help: "store it", Unlisted: true, Choices: []string{"all", "good rows"}},
	},
	Who:      knowledge.TrainerRole,
	Private:  true,
	Examples: []string{"/trainer import"},
	Run:      runImport,
}

// chatLimits bound a file that comes by chat; bot import takes larger ones.
func chatLimits() sheet.Limits { return sheet.Limits{Bytes: 4 << 20, Unpacked: 64 << 20, Rows: 50_000} }

const (
	sheetKeptFor = 30 * time.Minute // how long a file is kept while its questions are answered (project's choice)
	mostSheets   = 2                // how many are kept in a community (project's choice)
)

// waitingSheet is a file whose questions are being answered.
type waitingSheet struct {
	in    *SheetImport
	token string
	ref   string    // the platform id of who brought it; nobody else may go on with it
	at    time.Time // of the last answer
	steps int       // answers given
}

// waitingSheets are the files of one community, the latest last.
type waitingSheets struct {
	mu  sync.Mutex
	all []*waitingSheet
}

// add keeps a file and drops the oldest beyond mostSheets.
func (w *waitingSheets) add(s *waitingSheet) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.all = append(w.all, s)
	w.all = slices.Delete(w.all, 0, max(0, len(w.all)-mostSheets))
}

// take takes out the file with that token, or with "" the latest, that this member brought.
func (w *waitingSheets) take(token, ref string, now time.Time) *waitingSheet {
	w.mu.Lock()
	defer w.mu.Unlock()
	for i := len(w.all) - 1; i >= 0; i-- {
		s := w.all[i]
		if s.ref == ref && (token == "" || s.token == token) && now.Sub(s.at) < sheetKeptFor {
			w.all = slices.Delete(w.all, i, i+1)
			return s
		}
	}
	return nil
}

func runImport(ctx context.Context, env *Env, call *Call) (Card, error) {
	if call.Attached != nil {
		return beginImport(ctx, env, call)
	}
	if call.value("answer") == "" && call.value("sheet") == "" {
		c := Card{Title: "Attach a spreadsheet to /" + importName + ", .xlsx or CSV."}
		c.line("Where the bot runs, bot import PATH takes one, of any size.")
		return c, nil
	}
	s := env.sheets.take(call.value("sheet"), call.Asker.Ref, env.Now())
	if s == nil {
		return Card{}, refuse("Nothing was stored beyond what you were told. Please attach it again.",
			"The bot no longer has that spreadsheet.")
	}
	if call.value("store") != "" {
		return storeSheet(ctx, s, call.value("store") != "all")
	}
	defer env.sheets.add(s)
	return answerSheet(ctx, env, call, s)
}

// answerSheet takes an answer to the first open question and shows what is open then.
func answerSheet(ctx context.Context, env *Env, call *Call, s *waitingSheet) (Card, error) {
	open := s.in.Questions()
	step, stepped := call.number("step")
	say := call.value("answer")
	if pick, picked := call.number("pick"); picked && len(open) > 0 && int(pick) < len(open[0].Answers) {
		say = open[0].Answers[int(pick)].Say
	}
	if stepped && int(step) != s.steps || len(open) == 0 {
		return importCard(ctx, s) // pressed on an older message: show the question that is open now
	}
	understood, err := s.in.Answer(ctx, open[0].Key, say)
	if err != nil {
		return Card{}, err
	}
	s.at = env.Now()
	if understood {
		s.steps++
	}
	c, err := importCard(ctx, s)
	if !understood {
		c.warn("%s does not answer that.", echo(say))
	}
	return c, err
}

// beginImport fetches the file, after the asker was found to be permitted.
func beginImport(ctx context.Context, env *Env, call *Call) (Card, error) {
	limits, file := chatLimits(), call.Attached
	if file.Size > limits.Bytes {
		return Card{}, refuse("Where the bot runs, bot import PATH takes it.", "The file is larger than %d MB.",
			limits.Bytes>>20)
	}
	data, err := file.Read(ctx, limits.Bytes)
	if err != nil {
		env.Log.WarnContext(ctx, "a file could not be fetched", "error", fault.Redact(err.Error(), call.typedTexts()...))
		return Card{}, refuse("Please attach it again.", "The file could not be fetched.")
	}
	in, err := OpenSheet(ctx, env, call.Asker, bytes.NewReader(data), int64(len(data)), limits)
	if err != nil {
		return Card{}, err
	}
	s := &waitingSheet{in: in, token: rand.Text()[:12], ref: call.Asker.Ref, at: env.Now()}
	env.sheets.add(s)
	return importCard(ctx, s)
}

// request is the request of a choice or a button under a sheet's question.
func (s *waitingSheet) request(name, value string) Request {
	return Request{Command: importName, Values: map[string]string{"sheet": s.token, "step": strconv.Itoa(s.steps),
		name: value}}
}

// importCard asks the next question, or shows what would be stored.
func importCard(ctx context.Context, s *waitingSheet) (Card, error) {
	if open := s.in.Questions(); len(open) > 0 {
		return sheetQuestion(s, open), nil
	}
	tried, err := s.in.Take(ctx, knowledge.Importing{Dry: true, SkipBad: true})
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: "What the spreadsheet would bring"}
	c.Verdict = "Nothing is stored yet."
	outcomeFacts(&c, tried, "to add")
	for _, remark := range s.in.Remarks() {
		c.line("%s", remark)
	}
	switch fresh := tried.Added + tried.Changed; {
	case fresh == 0:
		c.Verdict = "There is nothing to store."
	case tried.Bad > 0:
		c.Actions = []Action{{Label: "store the good rows", Request: s.request("store", "good rows"), Tap: true}}
	default:
		c.Actions = []Action{{Label: "store " + strconv.Itoa(fresh), Request: s.request("store", "all"), Tap: true}}
	}
	return c, nil
}

func sheetQuestion(s *waitingSheet, open []testsheet.Question) Card {
	q := open[0]
	c := Card{Title: q.Text}
	c.line("Nothing is stored until all is clear. %s", stillOpen(len(open)))
	for n, a := range q.Answers {
		c.Choices = append(c.Choices, Choice{Label: a.Label, Request: s.request("pick", strconv.Itoa(n))})
	}
	c.line("In your own words: /%s answer", importName)
	return c
}

func stillOpen(n int) string {
	if n == 1 {
		return "This is the last question so far."
	}
	return fmt.Sprintf("%d questions are open.", n)
}

// outcomeFacts shows the counts and the first bad rows.
func outcomeFacts(c *Card, o Outcome, added string) {
	c.fact("Rows", "%d of %s", o.Rows, o.Kind)
	c.fact("Tests", "%d %s, %d there already", o.Added+o.Changed, added, o.Already)
	if o.Kind != knowledge.TestFile {
		c.Facts[len(c.Facts)-1].Label = "Entries"
	}
	if o.Out > 0 {
		c.fact("Left out", "%d, by your answers", o.Out)
	}
	if o.Bad > 0 {
		c.fact("Bad", "%s", count(o.Bad, "row"))
	}
	for _, f := range o.Faults {
		c.fact("Line "+strconv.Itoa(f.Line), "%s", sentence(cut(f.Problem)))
	}
	if more := o.Bad - len(o.Faults); more > 0 {
		c.line("and %d more", more)
	}
}

// mostProblem is how much is shown of what is wrong with a row, characters: it quotes a cell.
const mostProblem = 140

func cut(text string) string {
	if r := []rune(text); len(r) > mostProblem {
		return string(r[:mostProblem]) + "…"
	}
	return text
}

// storeSheet stores a sheet whose questions are answered. The sheet is no longer kept then.
func storeSheet(ctx context.Context, s *waitingSheet, skipBad bool) (Card, error) {
	if len(s.in.Questions()) > 0 {
		return Card{}, refuse("Please attach it again.", "Something is not clear yet.")
	}
	done, err := s.in.Take(ctx, knowledge.Importing{SkipBad: skipBad})
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: "The spreadsheet is in the log"}
	if done.Refused() {
		c = Card{Title: "Nothing was stored", Refused: true}
	}
	outcomeFacts(&c, done, "added")
	if done.Added > 0 && done.Kind == knowledge.TestFile {
		c.line("The history names you as who brought them in. The weekly prompt does not report them as news.")
	}
	return c, nil
}
