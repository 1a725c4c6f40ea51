package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"
	"time"

	"holdbench/internal/jobs"
)

func jobSubcommand() subcommand {
	return subcommand{
		name: "job", usage: "NAME [--dry-run]",
		summary: "do one of " + strings.Join(jobNames(), ", ") + "; --dry-run shows what it would post and changes nothing",
		flags:   func(f *flag.FlagSet) { f.Bool("dry-run", false, "post nothing") },
		run:     runJob,
	}
}

func jobNames() (names []string) {
	for _, job := range jobs.All() {
		names = append(names, job.Name)
	}
	return names
}

// nothingDue is what is said where there is nothing to post.
const nothingDue = "Nothing to post now.\n"

// runJob does a job for the community that the local room speaks for.
func runJob(ctx context.Context, call *invocation) (err error) {
	if len(call.args) != 1 || jobs.Find(call.args[0]) == nil {
		return misused("job wants one of %s", strings.Join(jobNames(), ", "))
	}
	job := jobs.Find(call.args[0])
	settings, err := call.settings()
	if err != nil {
		return err
	}
	log := call.logger(settings.Log)
	c, err := open(ctx, settings, log)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, c.Close()) }()
	ctx, stop := context.WithTimeout(ctx, patience)
	defer stop()
	if call.flags.Lookup("dry-run").Value.String() == "true" {
		posts, err := jobs.Preview(ctx, c.group, job, time.Now())
		if err != nil {
			return err
		}
		return writePosts(call.stdout, posts)
	}
	if ref := c.group.Ref(); ref != localRef && ref != demoRef {
		return misused("what server %s is told goes out while the bot is connected; --dry-run shows it", ref)
	}
	printed := &printer{out: call.stdout}
	r := jobs.Runner{Poster: printed, Now: time.Now, Log: log}
	if err := r.Do(ctx, c.group, job); err != nil || printed.posts > 0 {
		return err
	}
	return writePosts(call.stdout, nil)
}

func writePosts(out io.Writer, posts []jobs.Post) error {
	if len(posts) == 0 {
		_, err := io.WriteString(out, nothingDue)
		return err
	}
	for _, p := range posts {
		if _, err := fmt.Fprintf(out, "%s\n", p.Text()); err != nil {
			return err
		}
	}
	return nil
}

// printer is the Poster of the local room: it has one place to post to.
type printer struct {
	out   io.Writer
	posts int
}

func (p *printer) Post(_ context.Context, post jobs.Post) (string, error) {
	if err := writePosts(p.out, []jobs.Post{post}); err != nil {
		return "", err
	}
	p.posts++
	return "printed", nil
}
