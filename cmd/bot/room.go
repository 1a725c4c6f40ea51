package main

import (
	"context"
	"io"
	"os"

	"holdbench/config"
	"holdbench/internal/room"
)

func roomSubcommand() subcommand {
	return subcommand{name: "room", summary: "the local room: questions and commands, line by line", run: runRoom}
}

func runRoom(ctx context.Context, call *invocation) error {
	return call.withCommunity(ctx, func(c *community) error {
		banner, err := c.banner(ctx)
		if err != nil {
			return err
		}
		r := room.Room{Env: c.env, Asker: c.asker, Banner: banner, Prompt: isTerminal(call.stdin)}
		if r.Prompt && !c.demo { // a pipe ends soon, and the demo's log does not grow
			defer newLearner(c.store, c.env.Log).start(ctx)()
		}
		return r.Serve(ctx, call.stdin, call.stdout)
	})
}

// banner names the community and says how to go on.
func (c *community) banner(ctx context.Context) (string, error) {
	settings, err := c.group.Settings(ctx)
	if err != nil {
		return "", err
	}
	const how = "Ask about a hold, or /holdbench help; quit ends it."
	if !c.demo {
		return settings.Name + ". " + how, nil
	}
	return settings.Name + ": a demo. All of its data is invented: products, people, tests.\n" +
		"You speak as " + c.asker.Name + ", its trainer; nothing is kept. For a log of your own set\n" +
		config.Settings()[0].Environment() + " to a file.\n" + how, nil
}

// isTerminal reports whether somebody may sit at the other end: in is a character device, and not the null device.
func isTerminal(in io.Reader) bool {
	file, ok := in.(*os.File)
	if !ok {
		return false
	}
	info, err := file.Stat()
	if err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return false
	}
	null, err := os.Stat(os.DevNull)
	return err != nil || !os.SameFile(info, null)
}
