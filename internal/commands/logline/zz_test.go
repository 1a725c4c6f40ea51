package logline

import (
	"os"
	"strings"
	"testing"
)

func TestZZ(t *testing.T) {
	parts := strings.Split(os.Getenv("L"), "|")
	l := ReadLog(parts[0], demoIndex(), demoDay)
	for _, p := range append(parts[1:], "") {
		t.Logf("%+v\n  open %+v note %q pull %v", l.Outcomes, l.open, l.Note, l.PullML)
		if p == "" {
			break
		}
		var ok bool
		l, ok = l.Answered(p, demoDay)
		t.Log(p, ok)
	}
}
