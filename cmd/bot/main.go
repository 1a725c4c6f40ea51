// Command bot answers questions about holds from a community's own bench tests.
// Without a subcommand it opens the local room.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
	"strings"
	"syscall"
	_ "time/tzdata" // for machines without time zones

	"holdbench/config"
	"holdbench/internal/discord/gateway"
	"holdbench/internal/inside"
	"holdbench/internal/knowledge"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	signal.Ignore(syscall.SIGPIPE) // a closed pipe is an error to return, so that the demo's folder is removed
	err := run(ctx, os.Args[1:], os.Environ(), os.Stdin, os.Stdout, os.Stderr)
	stop()
	if err != nil && !errors.Is(err, syscall.EPIPE) {
		fmt.Fprintln(os.Stderr, "bot:", err)
	}
	os.Exit(exitCode(err))
}

// The exit codes.
const (
	exitDone    = 0
	exitFailed  = 1
	exitUsage   = 2 // the command line cannot be understood
	exitUseless = 3 // starting again fails the same way until somebody has put something right
	exitLeftOut = 4 // done, but rows of a file were left out
)

func exitCode(err error) int {
	var usage *usageError
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &usage):
		return exitUsage
	case errors.Is(err, errLeftOut):
		return exitLeftOut
	case startingAgainIsUseless(err):
		return exitUseless
	}
	return exitFailed
}

// startingAgainIsUseless reports whether a supervisor need not try again: the settings are wrong; Discord refuses the
// token, or another program already serves it from this store; the store is missing, damaged, not for this program, or
// does not let it in.
func startingAgainIsUseless(err error) bool {
	for _, lasting := range []error{
		gateway.ErrForGood, errSettings, errMissing, inside.ErrOpen, knowledge.ErrDamaged, knowledge.ErrNewerStore,
		knowledge.ErrNotAStore, knowledge.ErrReadOnly, knowledge.ErrNotLetIn, knowledge.ErrNoDatabase,
		knowledge.ErrReserved,
	} {
		if errors.Is(err, lasting) {
			return true
		}
	}
	return false
}

// usageError says what is wrong with the command line.
type usageError struct{ problem string }

func (e *usageError) Error() string { return e.problem + " (bot help tells how)" }

func misused(format string, args ...any) error {
	return &usageError{fmt.Sprintf(format, args...)}
}

// invocation is one call of a subcommand.
type invocation struct {
	args           []string // without the flags
	flags          *flag.FlagSet
	environ        []string
	stdin          io.Reader
	stdout, stderr io.Writer

	configPath string
}

// subcommand declares one way to call the program.
type subcommand struct {
	name    string // "" for the one that needs no name
	usage   string // the arguments, for the help
	summary string
	flags   func(*flag.FlagSet) // declares its flags; nil for none
	run     func(context.Context, *invocation) error
}

// flag is the value of one of the subcommand's flags.
func (call *invocation) flag(name string) string { return call.flags.Lookup(name).Value.String() }

// flagged reports whether one of the subcommand's yes-or-no flags is given.
func (call *invocation) flagged(name string) bool { return call.flag(name) == "true" }

// subcommands lists them in the order of the help.
func subcommands() []subcommand {
	return []subcommand{startSubcommand(), roomSubcommand(), askSubcommand(), importSubcommand(), exportSubcommand(),
		learnSubcommand(), backupSubcommand(), restoreSubcommand(), foundSubcommand(), migrateStoreSubcommand(),
		jobSubcommand(), configSubcommand(), checkSubcommand(), helpSubcommand(), versionSubcommand()}
}

// run is the whole program but for the process around it. The environment is a list, because only a list shows a
// mistyped setting.
func run(ctx context.Context, args, environ []string, stdin io.Reader, stdout, stderr io.Writer) error {
	call := &invocation{environ: environ, stdin: stdin, stdout: stdout, stderr: stderr}
	before := newFlags(call)
	if err := before.Parse(args); err != nil {
		return asUsage(ctx, call, err)
	}
	name := before.Arg(0)
	i := slices.IndexFunc(subcommands(), func(s subcommand) bool { return s.name == name })
	if i < 0 {
		return misused("there is no subcommand %q", name)
	}
	chosen := subcommands()[i]
	call.flags = newFlags(call)
	if chosen.flags != nil {
		chosen.flags(call.flags)
	}
	var err error
	if call.args, err = parseAnywhere(call.flags, before.Args()[min(1, before.NArg()):]); err != nil {
		return asUsage(ctx, call, err)
	}
	return chosen.run(ctx, call)
}

func newFlags(call *invocation) *flag.FlagSet {
	flags := flag.NewFlagSet("bot", flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	flags.StringVar(&call.configPath, "config", call.configPath, "settings file")
	return flags
}

// asUsage answers -h with the help and turns other faults into a usageError.
func asUsage(ctx context.Context, call *invocation, err error) error {
	if errors.Is(err, flag.ErrHelp) {
		return runHelp(ctx, call)
	}
	return misused("%v", err)
}

// parseAnywhere parses flags wherever they stand in args before a "--", and returns the other arguments.
func parseAnywhere(flags *flag.FlagSet, args []string) (rest []string, err error) {
	var after []string
	if i := slices.Index(args, "--"); i >= 0 {
		args, after = args[:i], args[i+1:]
	}
	for {
		if err := flags.Parse(args); err != nil {
			return nil, err
		}
		if flags.NArg() == 0 {
			return append(rest, after...), nil
		}
		rest, args = append(rest, flags.Arg(0)), flags.Args()[1:]
	}
}

// settings loads the settings of this call: the environment, over the file that the flag or else the environment names.
//
// Errors: errSettings.
func (call *invocation) settings() (config.Config, error) {
	settings, err := config.Load(call.settingsPath(), call.environ)
	if err != nil {
		err = fmt.Errorf("%w: %w", errSettings, err)
	}
	return settings, err
}

// errSettings: the program cannot start with these settings.
var errSettings = errors.New("the settings are wrong")

func (call *invocation) settingsPath() string {
	path := call.configPath
	if path == "" {
		for _, line := range call.environ {
			if value, is := strings.CutPrefix(line, config.FileVariable+"="); is {
				path = value
			}
		}
	}
	return path
}
