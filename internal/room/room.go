// Package room is the local room: the commands on a terminal, or fed from a
// pipe, line by line.
package room

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"holdbench/internal/commands"
)

// patience is how long one answer may take.
const patience = 30 * time.Second

// place is where lines are typed, for what is remembered of the last question.
const place = "room"

// Room is a conversation with one person.
type Room struct {
	Env    *commands.Env
	Asker  commands.Asker
	Banner string // said first; "" for nothing
	Prompt bool   // somebody sits at a terminal: show where to type
	Files  Folder // where pictures and files are written
}

// Serve answers line after line until the input ends, the person says quit or
// ctx does. A line that begins with a slash is a command, a bare number picks
// one of the choices last offered, and anything else is a question about a hold.
//
// When ctx ends while a line is awaited, one goroutine stays behind reading in.
func (r *Room) Serve(ctx context.Context, in io.Reader, out io.Writer) error {
	if r.Banner != "" {
		if _, err := fmt.Fprintf(out, "%s\n\n", r.Banner); err != nil {
			return err
		}
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	lines := readLines(ctx, in)
	var last commands.Card
	for {
		if err := r.prompt(out); err != nil {
			return err
		}
		select {
		case <-ctx.Done():
			return nil
		case l := <-lines:
			text := strings.TrimSpace(l.text)
			if text != "" && !isFarewell(text) {
				var err error
				if last, err = r.reply(ctx, out, text, last); err != nil {
					return err
				}
			}
			if isFarewell(text) || errors.Is(l.err, io.EOF) {
				return nil
			}
			if l.err != nil {
				return fmt.Errorf("reading the question: %w", l.err)
			}
		}
	}
}

func (r *Room) prompt(out io.Writer) error {
	if !r.Prompt {
		return nil
	}
	_, err := io.WriteString(out, "? ")
	return err
}

// reply answers one line and gives back the card whose lists stand open then. Numbers that pick nothing may still answer
// what was asked: "45", "27 13".
func (r *Room) reply(ctx context.Context, out io.Writer, text string, open commands.Card) (commands.Card, error) {
	req := commands.Typed(text, r.Asker)
	picked, problem := open.Numbered(text)
	if picked != nil {
		req = *picked
		req.Asker = r.Asker
	}
	req.Place = place
	ctx, stop := context.WithTimeout(ctx, patience)
	defer stop()
	card, unwritten := r.Files.Keep(commands.Answer(ctx, r.Env, req))
	if unwritten != nil {
		card.Warnings = append(card.Warnings, "It could not be written to a file: "+unwritten.Error()+".")
		card.Picture, card.Files = nil, nil
	}
	if problem != "" && card.Refused {
		_, err := fmt.Fprintf(out, "%s\n\n", problem)
		return open, err
	}
	_, err := fmt.Fprintf(out, "%s\n", card.Text())
	return card, err
}

func isFarewell(text string) bool {
	switch strings.ToLower(strings.TrimPrefix(text, "/")) {
	case "quit", "exit", "bye":
		return true
	}
	return false
}

// line is one line typed, and what ended the input, if anything did.
type line struct {
	text string
	err  error
}

// longestLine is how much of a line is kept, bytes. It is well above what a
// command reads, so that a longer line is still told to be too long.
const longestLine = 16 << 10

// readLines sends the lines of in until it ends. The last one carries the error
// that ended it, io.EOF in the ordinary case.
func readLines(ctx context.Context, in io.Reader) <-chan line {
	lines := make(chan line)
	go func() {
		r := bufio.NewReader(in)
		for {
			l := readLine(r)
			select {
			case lines <- l:
			case <-ctx.Done():
				return
			}
			if l.err != nil {
				return
			}
		}
	}()
	return lines
}

// readLine reads up to the end of the line and keeps the first part of it.
func readLine(r *bufio.Reader) line {
	var kept []byte
	for {
		part, err := r.ReadSlice('\n')
		if room := longestLine - len(kept); room > 0 {
			kept = append(kept, part[:min(len(part), room)]...)
		}
		if !errors.Is(err, bufio.ErrBufferFull) {
			return line{string(kept), err}
		}
	}
}
