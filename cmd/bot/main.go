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
	_ "time/tzdata" // time zones, where the machine has none

	"holdbench/config"
	"holdbench/internal/discord/gateway"
	"holdbench/internal/inside"
	"holdbench/internal/knowledge"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	signal.Ignore(syscall.SIGPIPE) // a closed pipe is an error to return, so that the demo's folder is still removed
	err := run(ctx, os.Args[1:], os.Environ(), os.Stdin, os.Stdout, os.Stderr)
	stop()
	if err != nil && !errors.Is(err, syscall.EPIPE) {
		fmt.Fprintln(os.Stderr, "bot:", err)
	}
	os.Exit(exitCode(err))
}

// The exit codes: done, failed, called in a way that cannot be understood,
// failed in a way that somebody has to put right before another start is of any use, and
// done but for rows of a file that were left out.
const (
	exitDone    = 0
	exitFailed  = 1
	exitUsage   = 2
	exitUseless = 3
	exitLeftOut = 4
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

// startingAgainIsUseless tells a supervisor apart what may pass from what does not:
// settings that are wrong, a refused token or one that another program serves from
// the same store, a store that is missing, damaged or not for this program, or does
// not let it in.
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

// usageError says that the program was called in a way it does not know.
type usageError struct{ problem string }

func (e *usageError) Error() string { return e.problem + " (bot help tells how)" }

func misused(format string, args ...any) error {
	return &usageError{fmt.Sprintf(format, args...)}
}

// invocation is one call of a subcommand.
type invocation struct {
	args           []string // what is left when the flags are taken out
	flags          *flag.FlagSet
	environ        []string
	stdin          io.Reader
	stdout, stderr io.Writer

	configPath string
}

// subcommand declares one way to call the program.
type subcommand struct {
	name    string // "" for the one that needs no name
	usage   string // what follows the name
	summary string
	flags   func(*flag.FlagSet) // nil for none of its own
	run     func(context.Context, *invocation) error
}

// flagged is the value of a flag of the subcommand's own.
func (call *invocation) flagged(name string) string { return call.flags.Lookup(name).Value.String() }

// subcommands lists them in the order of the help.
func subcommands() []subcommand {
	return []subcommand{startSubcommand(), roomSubcommand(), askSubcommand(), importSubcommand(), exportSubcommand(),
		learnSubcommand(), backupSubcommand(), restoreSubcommand(), foundSubcommand(), migrateStoreSubcommand(),
		jobSubcommand(), configSubcommand(), checkSubcommand(), helpSubcommand(), versionSubcommand()}
}

// run is the whole program but for the process around it. The environment comes
// as a list, for a mistyped setting can only be seen in a list.
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

// parseAnywhere takes flags out of args wherever they stand, up to a "--".
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

// settings are what is in force for this call: the file named by the flag, or
// else by the environment, and the environment over it.
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
