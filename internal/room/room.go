// Package room is the local room: it answers the lines of a terminal or a pipe.
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

// place is the room's Request.Place, under which the commands remember the last question.
const place = "room"

// Room is a conversation with one person.
type Room struct {
	Env    *commands.Env
	Asker  commands.Asker
	Banner string // printed first; "" for nothing
	Prompt bool   // print a prompt before each line
	Files  Folder // where pictures and files are written
}

// Serve answers line after line until the input or ctx ends, or the person types quit. A bare number picks one of the
// choices last offered; commands.Typed reads every other line.
//
// If ctx ends while a line is awaited, one goroutine stays behind reading in.
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

// reply answers one line and returns the card whose choices the next line can pick from. Numbers that pick nothing may
// still answer what was asked: "45", "27 13".
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

// line is one line of input, and the error that ended the input, if any.
type line struct {
	text string
	err  error
}

// longestLine is how many bytes of a line are kept: far more than a command reads, so that the command still finds a
// longer line too long.
const longestLine = 16 << 10

// readLines sends the lines of in until it ends. The last one carries the error that ended it, usually io.EOF.
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

// readLine reads one line and keeps its first longestLine bytes.
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
