package main

import (
	"os/exec"
	"regexp"
	"syscall"
	"testing"
	"time"

	"holdbench/internal/outputtest"
)

// process is the program running on its own.
type process struct {
	cmd *exec.Cmd
	out *outputtest.Text
}

// startProgram starts the program; what it writes is shown where the test fails.
func startProgram(t *testing.T, environ []string, args ...string) *process {
	t.Helper()
	p := &process{cmd: exec.Command(program(t), args...), out: &outputtest.Text{}}
	p.cmd.Env = withOnly(environ)
	p.cmd.Stdout, p.cmd.Stderr = p.out, p.out
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if p.cmd.ProcessState == nil {
			p.cmd.Process.Kill()
			p.cmd.Wait()
		}
		if t.Failed() {
			t.Logf("the program wrote:\n%s", p.out)
		}
	})
	return p
}

// end waits for the program, and fails the test if it takes longer.
func (p *process) end(t *testing.T, within time.Duration) error {
	t.Helper()
	done := make(chan error, 1)
	go func() { done <- p.cmd.Wait() }()
	select {
	case err := <-done:
		return err
	case <-time.After(within):
		t.Fatalf("still running after %s", within)
		return nil
	}
}

// terminate ends the program as a supervisor does, and gives back what it wrote.
func (p *process) terminate(t *testing.T) string {
	t.Helper()
	if err := p.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	if err := p.end(t, 10*time.Second); err != nil {
		t.Errorf("ended with %v", err)
	}
	return p.out.String()
}

// toBeSeen lets the program choose a free address for /healthz and /metrics: one chosen
// before it starts may be somebody else's by then.
const toBeSeen = "HOLDBENCH_INSIDE_LISTEN=127.0.0.1:0"

var seenAt = regexp.MustCompile(`serving /healthz.* address=(\S+)`)

// address is where a program started toBeSeen can be seen.
func (p *process) address(t *testing.T) string {
	t.Helper()
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(10 * time.Millisecond) {
		if found := seenAt.FindStringSubmatch(p.out.String()); found != nil {
			return found[1]
		}
		if time.Now().After(end) {
			t.Fatal("it cannot be seen inside")
		}
	}
}
