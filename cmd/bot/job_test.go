package main

import "testing"

func TestJobDryRunShowsAndChangesNothing(t *testing.T) {
	got := mustRun(t, nil, "", "job", "weekly-prompt", "--dry-run")
	wants(t, got, "to no channel: none is set", "Worth a test this week", "Take one on:", "outside a vessel",
		"no recapping")
	for _, name := range []string{"claims", "bench-session", "verdict-news"} {
		wants(t, mustRun(t, nil, "", "job", "--dry-run", name), nothingDue)
	}
}

func TestJobPostsNothingWhereNoChannelIsSet(t *testing.T) {
	if got := mustRun(t, nil, "", "job", "weekly-prompt"); got != nothingDue {
		t.Errorf("got\n%s", got)
	}
}

func TestJobCalledWrongly(t *testing.T) {
	for _, args := range [][]string{{"job"}, {"job", "tidy-up"}, {"job", "claims", "claims"},
		{"job", "claims", "--loud"}} {
		if got := bot(t, nil, "", args...); exitCode(got.err) != exitUsage {
			t.Errorf("bot %v: exit code %d, %v", args, exitCode(got.err), got.err)
		}
	}
}
