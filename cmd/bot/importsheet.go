package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
)

// importSpreadsheet imports a sheet as people keep one: it asks about whatever is unclear, says what would be stored
// and stores it after a yes. Each line of standard input is one answer.
func importSpreadsheet(ctx context.Context, call *invocation, c *community) (err error) {
	file, err := os.Open(call.args[0])
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	info, err := file.Stat()
	if err != nil {
		return err
	}
	in, err := commands.OpenSheet(ctx, c.env, c.asker, file, info.Size(), knowledge.FileLimits())
	if err != nil {
		return err
	}
	lines := bufio.NewScanner(call.stdin)
	if err := answerSheet(ctx, call, in, lines); err != nil {
		return err
	}
	return storeSheet(ctx, call, in, lines)
}

// storeSheet says what a sheet whose questions are answered would store, and stores it after a yes.
func storeSheet(ctx context.Context, call *invocation, in *commands.SheetImport, lines *bufio.Scanner) error {
	how := knowledge.Importing{Dry: true, SkipBad: call.flagged("skip-bad"),
		Told: func(r knowledge.ImportReport) {
			_, _ = fmt.Fprintf(call.stderr, "%d rows read\n", r.Rows) // progress alone: a closed stderr does not matter
		}}
	tried, err := in.Take(ctx, how)
	if err != nil {
		return err
	}
	if tried.Bad > 0 && !how.SkipBad {
		return tellImport(call, tried.ImportReport)
	}
	for _, remark := range in.Remarks() {
		if _, err := fmt.Fprintln(call.stdout, remark); err != nil {
			return err
		}
	}
	if !call.flagged("yes") {
		if yes, err := confirmed(call, tried, lines); err != nil || !yes {
			return err
		}
	}
	how.Dry = false
	done, err := in.Take(ctx, how)
	if err != nil {
		return err
	}
	if done.Out > 0 {
		if _, err := fmt.Fprintf(call.stdout, "%d left out by what was answered\n", done.Out); err != nil {
			return err
		}
	}
	return tellImport(call, done.ImportReport)
}

// answerSheet asks one open question after the other until none is left.
func answerSheet(ctx context.Context, call *invocation, in *commands.SheetImport, lines *bufio.Scanner) error {
	for open := in.Questions(); len(open) > 0; open = in.Questions() {
		q := open[0]
		text := q.Text + "\n"
		for n, a := range q.Answers {
			text += fmt.Sprintf("  %d  %s\n", n+1, a.Label)
		}
		if _, err := io.WriteString(call.stdout, text); err != nil {
			return err
		}
		if !lines.Scan() {
			return errors.Join(lines.Err(), fmt.Errorf("%s; nothing was stored", countQuestions(len(open))))
		}
		say := strings.TrimSpace(lines.Text())
		if n, err := strconv.Atoi(say); err == nil && n >= 1 && n <= len(q.Answers) {
			say = q.Answers[n-1].Say
		}
		understood, err := in.Answer(ctx, q.Key, say)
		if err == nil && !understood {
			_, err = fmt.Fprintf(call.stdout, "%q does not answer that.\n", say)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func countQuestions(n int) string {
	if n == 1 {
		return "one question is not answered"
	}
	return fmt.Sprintf("%d questions are not answered", n)
}

// confirmed asks whether to store the rows.
func confirmed(call *invocation, tried commands.Outcome, lines *bufio.Scanner) (bool, error) {
	_, err := fmt.Fprintf(call.stdout, "%d rows of %s: %d to add, %d there already, %d bad. Store them? yes or no\n",
		tried.Rows, tried.Kind, tried.Added+tried.Changed, tried.Already, tried.Bad)
	if err != nil {
		return false, err
	}
	if lines.Scan() && strings.EqualFold(strings.TrimSpace(lines.Text()), "yes") {
		return true, nil
	}
	_, err = fmt.Fprintln(call.stdout, "Nothing was stored.")
	return false, errors.Join(err, lines.Err())
}
