package groups

import (
	"fmt"
	"testing"
	"time"
)

// tapped asks at a clock of its own.
type tapped struct {
	*Limits
	now time.Time
}

func newTapped() *tapped {
	c := &tapped{now: stopped()}
	c.Limits = NewLimits(func() time.Time { return c.now })
	return c
}

// burst is how many of n questions at once are let through.
func (c *tapped) burst(community, member string, n int) (through int) {
	for range n {
		if c.Ask(community, member).OK {
			through++
		}
	}
	return through
}

func TestAMemberMayAskSoManyAtOnceAndThenByAndBy(t *testing.T) {
	c := newTapped()
	if n := c.burst("a", "ada", 300); n != 200 {
		t.Errorf("%d at once", n)
	}
	p := c.Ask("a", "ada")
	if p.OK || p.Group || p.First || p.Wait <= 0 || p.Wait > time.Second {
		t.Errorf("%+v", p)
	}
	if n := c.burst("a", "bea", 5); n != 5 {
		t.Errorf("somebody else of the group gets %d of 5", n)
	}
	if n := c.burst("b", "ada", 5); n != 5 {
		t.Errorf("the same person elsewhere gets %d of 5", n)
	}
	c.now = c.now.Add(3 * time.Second)
	if n := c.burst("a", "ada", 50); n != 15 {
		t.Errorf("%d after 3 s", n)
	}
	c.now = c.now.Add(time.Hour)
	if n := c.burst("a", "ada", 300); n != 200 {
		t.Errorf("%d after an hour", n)
	}
}

func TestACommunityMayAskSoManyAtOnceAndTheNextOneAsMany(t *testing.T) {
	c := newTapped()
	for community, want := range map[string]int{"a": 1000, "b": 1000} {
		through := 0
		for i := range 200 {
			through += c.burst(community, fmt.Sprint("member ", i), 10)
		}
		if through != want {
			t.Errorf("%s: %d", community, through)
		}
	}
	if p := c.Ask("a", "late"); p.OK || !p.Group || p.Wait <= 0 || p.Wait > time.Second {
		t.Errorf("%+v", p)
	}
}

func TestARefusalIsToldOnceUntilSomethingIsLetThrough(t *testing.T) {
	c := newTapped()
	c.burst("a", "ada", 200)
	var told []bool
	for range 3 {
		told = append(told, c.Ask("a", "ada").First)
	}
	c.now = c.now.Add(time.Second / 5)
	told = append(told, c.Ask("a", "ada").OK, c.Ask("a", "ada").First)
	if fmt.Sprint(told) != "[true false false true true]" {
		t.Errorf("%v", told)
	}
}

func TestSuggestionsHaveAMeasureOfTheirOwn(t *testing.T) {
	c := newTapped()
	through := 0
	for range 400 {
		if c.Suggest("a", "ada") {
			through++
		}
	}
	if through != 300 || !c.Ask("a", "ada").OK {
		t.Errorf("%d suggestions", through)
	}
}

func TestWhatIsKeptOfWhoAskedIsBounded(t *testing.T) {
	c := newTapped()
	for i := range 3 * mostPaced {
		c.Ask("", fmt.Sprint(i))
		if n, _ := c.ownAsks.kept.Size(); n > mostPaced {
			t.Fatalf("%d are kept", n)
		}
	}
}

func TestNoLimitsLetEverythingThrough(t *testing.T) {
	var none *Limits
	for range 1000 {
		if !none.Ask("a", "ada").OK || !none.Suggest("a", "ada") {
			t.Fatal("refused")
		}
	}
}
