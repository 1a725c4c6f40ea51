package commands

import (
	"context"
	"errors"
	"io"
	"maps"
	"strings"

	"holdbench/internal/commands/testsheet"
	"holdbench/internal/knowledge"
	"holdbench/internal/sheet"
	"holdbench/internal/trade"
)

// SheetImport is a file on its way into the log: a sheet as people keep one, or a file that
// the program wrote. It is safe for one user at a time.
type SheetImport struct {
	env     *Env
	by      knowledge.Member
	open    func() (*sheet.Table, error)
	kind    knowledge.FileKind
	answers testsheet.Answers
	plan    *testsheet.Plan // nil for a file that the program wrote
}

// OpenSheet begins to take in a file that a trainer brings. Of a workbook it reads the sheet
// of tests, and a list only if there are no tests.
//
// Errors: *UserError for a file that cannot be read.
func OpenSheet(ctx context.Context, env *Env, asker Asker, file io.ReaderAt, size int64,
	limits sheet.Limits) (*SheetImport, error) {
	by, err := asker.member(ctx, env)
	if err != nil {
		return nil, err
	}
	i := &SheetImport{env: env, by: by, answers: testsheet.Answers{}}
	for _, holds := range []func([][]string) bool{isOfTests, testsheet.IsList} {
		found := false
		i.open = func() (*sheet.Table, error) {
			return sheet.Open(file, size, limits, func(rows [][]string) bool {
				is := holds(rows)
				found = found || is
				return is
			})
		}
		if i.kind, err = i.writtenKind(); err != nil || found {
			break
		}
	}
	if err == nil && i.kind == "" {
		err = i.survey(ctx)
	}
	return i, sheetProblem(err)
}

func isOfTests(rows [][]string) bool {
	return knowledge.KindOfHeading(rows[0]) != "" || testsheet.Is(rows)
}

// writtenKind is the kind of a file that the program wrote, "" for another.
func (i *SheetImport) writtenKind() (kind knowledge.FileKind, err error) {
	table, err := i.open()
	if err != nil {
		return "", err
	}
	if first, err := table.Next(); err == nil { // the survey finds out what is wrong with it otherwise
		kind = knowledge.KindOfHeading(first.Cells)
	}
	return kind, table.Close()
}

// sheetProblem makes a *UserError of what is wrong with a file; other errors stay.
func sheetProblem(err error) error {
	var whole *sheet.Problem
	if errors.As(err, &whole) {
		return refuse("Nothing was stored.", "%s", sentence(whole.Why))
	}
	if errors.Is(err, knowledge.ErrImporting) {
		return refuse("Nothing was stored.", "%s", sentence(knowledge.ErrImporting.Error()))
	}
	return err
}

// survey finds out what has to be asked, after the answers so far.
func (i *SheetImport) survey(ctx context.Context) error {
	lists, err := i.lists(ctx)
	if err != nil {
		return err
	}
	i.plan, err = testsheet.Survey(i.open, lists, i.answers)
	return err
}

func (i *SheetImport) lists(ctx context.Context) (l testsheet.Lists, err error) {
	v, err := i.env.view(ctx)
	if err != nil {
		return l, err
	}
	members, err := i.env.Group.Members(ctx)
	if err != nil {
		return l, err
	}
	return testsheet.Lists{Today: v.now, Index: v.index, Products: v.lists.Products, Instruments: v.lists.Instruments,
		Members: knowledge.FileNames(members), Near: knowledge.NearNames,
		Similar: knowledge.NewSpellings(v.lists.Products).Similar,
		Usual: testsheet.Usual{Liquid: usualLiquid, LiquidC: usualLiquidC, PullML: usualPullML, Timing: usualTiming,
			FilmFPS: usualFPS, WatchedS: usualWatchedS}}, nil
}

// Questions are the open questions, the first to be asked first.
func (i *SheetImport) Questions() []testsheet.Question {
	if i.plan == nil {
		return nil
	}
	return i.plan.Open()
}

// Answer keeps an answer to the open question with that key, and reports whether say is one.
func (i *SheetImport) Answer(ctx context.Context, key, say string) (bool, error) {
	for _, q := range i.Questions() {
		if q.Key != key {
			continue
		}
		kept, ok := i.plan.Accepts(q, say)
		if !ok {
			return false, nil
		}
		answers := maps.Clone(i.answers)
		answers[key] = kept
		i.answers = answers
		return true, i.survey(ctx)
	}
	return false, nil
}

// Outcome is what became of a file, or would.
type Outcome struct {
	knowledge.ImportReport
	Kind knowledge.FileKind
	Out  int // rows left out because of an answer
}

// Take stores a file without open questions, or says what would become of it.
//
// Errors: *UserError for a file that cannot be read.
func (i *SheetImport) Take(ctx context.Context, how knowledge.Importing) (o Outcome, err error) {
	how.By, o.Kind = i.by, i.kind
	open := func() (knowledge.Rows, error) { return i.open() }
	if i.plan != nil {
		o.Kind, how.Apart = knowledge.FileKind(i.plan.Kind), i.plan.Apart()
		if i.plan.Kind == testsheet.Tests {
			gels, people := i.plan.New()
			how.New.Products = gels
			for _, name := range people {
				how.New.Members = append(how.New.Members, knowledge.Member{Ref: name})
			}
		}
		var reader *testsheet.Reader
		defer func() {
			if reader != nil {
				o.Out = reader.Out
			}
		}()
		open = func() (knowledge.Rows, error) {
			reader, err = i.plan.Rows(i.open)
			return reader, err
		}
	}
	o.ImportReport, err = i.env.Group.Import(ctx, o.Kind, open, how)
	return o, sheetProblem(err)
}

// Remarks are what the trainer should know beside the counts.
func (i *SheetImport) Remarks() (lines []string) {
	if i.plan == nil {
		return nil
	}
	if len(i.plan.Others) > 0 {
		lines = append(lines, "The sheet "+i.plan.Sheet+" was read; not read: "+strings.Join(i.plan.Others, ", ")+".")
	}
	for _, heading := range i.plan.Patient() {
		lines = append(lines, "The column "+heading+" was left out: nothing about patients is taken in.")
	}
	if len(i.plan.Unread) > 0 {
		lines = append(lines, "Not read: "+strings.Join(i.plan.Unread, ", ")+". A list of "+string(i.plan.Kind)+
			" has no place for that.")
	}
	if i.plan.Kind != testsheet.Tests {
		return lines
	}
	usual := map[testsheet.Field]string{testsheet.Liquid: usualLiquid,
		testsheet.Temperature: trade.Number(usualLiquidC) + " °C",
		testsheet.Pull:        "pull " + trade.Number(usualPullML) + " mL", testsheet.Timing: usualTiming}
	var taken []string
	for _, f := range i.plan.Usual() {
		taken = append(taken, usual[f])
	}
	if len(taken) > 0 {
		lines = append(lines, "No column says it, so the usual was taken: "+strings.Join(taken, ", ")+".")
	}
	return lines
}
