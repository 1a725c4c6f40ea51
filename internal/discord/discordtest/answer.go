package discordtest

import (
	"errors"
	"fmt"
	"time"
)

// patience is how long helpers that fail the test wait for the bot.
const patience = 20 * time.Second

// Answer is the handle on what the bot says to something a person did.
// Methods that fail the test are for the test's own goroutine; in others use
// Wait.
type Answer struct {
	srv  *Server
	what string
	ix   *interaction // what was done, or
	post *post        // what was written
	err  error        // the person could not do it at all
}

// Err says why the person could not do it, nil if they could.
func (a *Answer) Err() error { return a.err }

// ID is the id of the interaction, or of the message the person wrote.
func (a *Answer) ID() string {
	switch {
	case a.ix != nil:
		return a.ix.id
	case a.post != nil:
		return a.post.message.id
	}
	return ""
}

// Message waits for the answer and fails the test if none comes. A deferred
// answer counts when it is filled.
func (a *Answer) Message() Message {
	a.srv.tb.Helper()
	m, err := a.Wait(patience)
	if err != nil {
		a.srv.tb.Fatal(err)
	}
	return m
}

// Wait waits for the answer up to limit.
func (a *Answer) Wait(limit time.Duration) (Message, error) {
	return a.WaitUntil(limit, func(Message) bool { return true })
}

// WaitUntil waits until the answer is as wanted: for answers that are edited.
func (a *Answer) WaitUntil(limit time.Duration, wanted func(Message) bool) (Message, error) {
	var last Message
	err := a.await(limit, func() (bool, error) {
		m, err := a.current()
		if m == nil || err != nil {
			return false, err
		}
		last = m.view()
		return wanted(last), nil
	})
	return last, err
}

// await runs check under the server's lock at every step until it is true.
func (a *Answer) await(limit time.Duration, check func() (bool, error)) error {
	if a.err != nil {
		return a.err
	}
	end := time.NewTimer(limit)
	defer end.Stop()
	for {
		a.srv.mu.Lock()
		done, err := check()
		changed := a.changed()
		a.srv.mu.Unlock()
		if done || err != nil {
			return err
		}
		select {
		case <-changed:
		case <-end.C:
			return fmt.Errorf("%s: no answer within %s", a.what, limit)
		}
	}
}

func (a *Answer) changed() <-chan struct{} {
	if a.ix != nil {
		return a.ix.changed
	}
	return a.post.changed
}

// current is the answering message once it is there.
func (a *Answer) current() (*message, error) {
	if a.post != nil {
		if len(a.post.replies) == 0 {
			return nil, nil
		}
		return a.post.replies[0], nil
	}
	ix := a.ix
	switch {
	case ix.dead:
		return nil, fmt.Errorf("%s: the application did not respond", a.what)
	case ix.modal != nil:
		return nil, fmt.Errorf("%s: answered with the modal %q", a.what, ix.modal.Title)
	case !ix.finished:
		return nil, nil
	case ix.original != nil && !ix.original.deleted:
		return ix.original, nil
	}
	return nil, errors.New(a.what + ": the answer was deleted")
}

// Messages are all messages of the answer so far.
func (a *Answer) Messages() []Message {
	a.srv.mu.Lock()
	defer a.srv.mu.Unlock()
	var all []*message
	switch {
	case a.ix != nil && a.ix.original != nil:
		all = []*message{a.ix.original}
	case a.post != nil:
		all = a.post.replies
	}
	var out []Message
	for _, m := range all {
		if !m.deleted {
			out = append(out, m.view())
		}
	}
	return out
}

// Modal waits for a modal and fails the test if none comes.
func (a *Answer) Modal() *Modal {
	a.srv.tb.Helper()
	m, err := a.WaitModal(patience)
	if err != nil {
		a.srv.tb.Fatal(err)
	}
	return m
}

// WaitModal waits for a modal up to limit.
func (a *Answer) WaitModal(limit time.Duration) (*Modal, error) {
	var out *Modal
	err := a.await(limit, func() (bool, error) {
		if a.ix == nil || a.ix.dead || a.ix.finished && a.ix.modal == nil {
			return false, errors.New(a.what + ": no modal came")
		}
		out = a.ix.modal
		return out != nil, nil
	})
	return out, err
}

// Acknowledged waits for the first answer of any kind, a deferral too, and
// returns how long it took.
func (a *Answer) Acknowledged(limit time.Duration) (time.Duration, error) {
	err := a.await(limit, func() (bool, error) {
		if a.ix == nil {
			return len(a.post.replies) > 0, nil
		}
		if a.ix.dead {
			return false, fmt.Errorf("%s: the application did not respond", a.what)
		}
		return a.ix.answered != 0, nil
	})
	return a.Latency(), err
}

// Deferred tells whether the first answer was only a promise.
func (a *Answer) Deferred() bool {
	a.srv.mu.Lock()
	defer a.srv.mu.Unlock()
	return a.ix != nil && (a.ix.answered == callbackDeferred || a.ix.answered == callbackWait)
}

// Latency is the time from delivery to the first answer, 0 if none came yet.
func (a *Answer) Latency() time.Duration {
	a.srv.mu.Lock()
	defer a.srv.mu.Unlock()
	switch {
	case a.ix != nil && a.ix.answered != 0:
		return a.ix.answeredAt.Sub(a.ix.sent)
	case a.post != nil && len(a.post.replies) > 0:
		return a.post.answeredAt.Sub(a.post.sent)
	}
	return 0
}

// Complete is the time from delivery to the answer itself, 0 if it is not
// there yet.
func (a *Answer) Complete() time.Duration {
	a.srv.mu.Lock()
	finished := a.ix != nil && a.ix.finished
	a.srv.mu.Unlock()
	if finished {
		return a.ix.finishedAt.Sub(a.ix.sent)
	}
	if a.ix != nil {
		return 0
	}
	return a.Latency()
}

// Silence fails the test if the bot answers within d.
func (a *Answer) Silence(d time.Duration) {
	a.srv.tb.Helper()
	if a.err != nil {
		a.srv.tb.Fatal(a.err)
	}
	time.Sleep(d)
	if all := a.Messages(); len(all) > 0 {
		a.srv.tb.Errorf("%s: the bot should have kept silent but said:\n%s", a.what, all[0].Text())
	}
}

// Redeliver sends the same event again, as the platform may.
func (a *Answer) Redeliver() {
	a.srv.mu.Lock()
	defer a.srv.mu.Unlock()
	if a.ix != nil {
		a.ix.deliver()
	} else if a.post != nil {
		a.post.message.announce("MESSAGE_CREATE")
	}
}

// refused is an answer to something that could not be done.
func (s *Server) refused(what string, err error) *Answer {
	return &Answer{srv: s, what: what, err: fmt.Errorf("%s: %w", what, err)}
}
