package database

import (
	"context"
	"errors"
	"sync"
	"testing"
)

func TestOneAtATimeHasTheTurn(t *testing.T) {
	var all turns
	var group sync.WaitGroup
	inside, most := 0, 0
	for range 50 {
		group.Go(func() {
			done, err := all.wait(t.Context(), 7)
			if err != nil {
				t.Error(err)
				return
			}
			inside++ // the race detector sees who does not wait
			most = max(most, inside)
			inside--
			done()
		})
	}
	group.Wait()
	if most != 1 || len(all.taken) != 0 {
		t.Errorf("%d at once, %d numbers kept", most, len(all.taken))
	}
}

func TestNumbersDoNotWaitForEachOther(t *testing.T) {
	var all turns
	done := must(all.wait(t.Context(), 1))(t)
	must(all.wait(t.Context(), 2))(t)()
	waiting, stop := context.WithCancel(t.Context())
	stop()
	if _, err := all.wait(waiting, 1); !errors.Is(err, context.Canceled) {
		t.Errorf("given up: %v", err)
	}
	done()
	must(all.wait(t.Context(), 1))(t)()
	if len(all.taken) != 0 {
		t.Errorf("%d numbers kept", len(all.taken))
	}
}
