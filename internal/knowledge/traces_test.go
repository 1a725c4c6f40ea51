package knowledge

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

func TestWhoWasErasedIsInNoFileOfTheStoreWhileItIsOpen(t *testing.T) {
	t.Parallel()
	s := openFile(t)
	g := small(t, s, "local")
	const name = "Quillon Marsh"
	readable := func() (n int) {
		for _, file := range must(filepath.Glob(s.Name() + "*"))(t) {
			n += bytes.Count(must(os.ReadFile(file))(t), []byte(name))
		}
		return n
	}
	admit := func(ref string) Member {
		return must(g.Admit(t.Context(), Member{Ref: ref, Name: name, Role: MemberRole}))(t)
	}
	m := admit("q1")
	if readable() == 0 {
		t.Fatal("never written: nothing is proved")
	}
	must(g.EraseMember(t.Context(), m))(t)
	if n := readable(); n != 0 {
		t.Errorf("still there %d times", n)
	}
	m = admit("q2")
	err := s.snapshot(t.Context(), func(q querier) error {
		var n int
		if err := q.Row(t.Context(), `SELECT COUNT(*) FROM members`).Scan(&n); err != nil {
			return err
		}
		must(g.EraseMember(t.Context(), m))(t)
		if done, err := s.ClearTraces(t.Context()); done || err != nil {
			t.Errorf("past a reader: %t, %v", done, err)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if done, err := s.ClearTraces(t.Context()); !done || err != nil || readable() != 0 {
		t.Errorf("after the reader: %t, %v, there %d times", done, err, readable())
	}
}

// A program that is killed after an erasure, while a reader kept the log from being
// emptied: the next one does it.
func TestWhatAKillLeavesOfAnErasureIsClearedByTheNextStart(t *testing.T) {
	t.Parallel()
	s := openFile(t)
	g := small(t, s, "local")
	const name = "Quillon Marsh"
	m := must(g.Admit(t.Context(), Member{Ref: "q1", Name: name, Role: MemberRole}))(t)
	path := filepath.Join(t.TempDir(), "bench.db")
	readable := func() (n int) {
		for _, file := range must(filepath.Glob(path + "*"))(t) {
			n += bytes.Count(must(os.ReadFile(file))(t), []byte(name))
		}
		return n
	}
	err := s.snapshot(t.Context(), func(q querier) error {
		var n int
		if err := q.Row(t.Context(), `SELECT COUNT(*) FROM members`).Scan(&n); err != nil {
			return err
		}
		must(g.EraseMember(t.Context(), m))(t)
		for _, side := range []string{"", "-wal"} { // the files as a kill leaves them
			if err := os.WriteFile(path+side, must(os.ReadFile(s.Name()+side))(t), 0o600); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil || readable() == 0 {
		t.Fatalf("nothing is proved: %v", err)
	}
	next := openAddress(t, path)
	if done, err := next.ClearTraces(t.Context()); !done || err != nil || readable() != 0 {
		t.Errorf("%t, %v, there %d times", done, err, readable())
	}
}
