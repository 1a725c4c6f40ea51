package main

import (
	"context"
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
		summary: "run one of " + strings.Join(jobNames(), ", ") + "; --dry-run shows what it would post and changes " +
			"nothing",
		flags: func(f *flag.FlagSet) { f.Bool("dry-run", false, "post nothing") },
		run:   runJob,
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

// runJob runs a job for the local room's community.
func runJob(ctx context.Context, call *invocation) error {
	if len(call.args) != 1 || jobs.Find(call.args[0]) == nil {
		return misused("job wants one of %s", strings.Join(jobNames(), ", "))
	}
	job := jobs.Find(call.args[0])
	return call.withCommunity(ctx, func(c *community) error {
		ctx, stop := context.WithTimeout(ctx, patience)
		defer stop()
		if call.flagged("dry-run") {
			posts, err := jobs.Preview(ctx, c.group, job, time.Now())
			if err != nil {
				return err
			}
			return writePosts(call.stdout, posts)
		}
		return doJob(ctx, call, c, job)
	})
}

// doJob runs the job if it is due, and prints what it posts.
func doJob(ctx context.Context, call *invocation, c *community, job *jobs.Job) error {
	if ref := c.group.Ref(); ref != localRef && ref != demoRef {
		return misused("what server %s is told goes out while the bot is connected; --dry-run shows it", ref)
	}
	printed := &printer{out: call.stdout}
	r := jobs.Runner{Poster: printed, Now: time.Now, Log: c.env.Log}
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

// printer is the local room's Poster: it prints each post.
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
