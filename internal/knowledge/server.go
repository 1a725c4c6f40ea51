package knowledge

import (
	"context"
	"net/url"
	"strings"
	"time"

	"holdbench/internal/trade"
)

// Adopt gives a community another ref: the log that was begun in the local room
// goes on in a server. ErrNotFound if there is none by the old ref, ErrDuplicate
// if there is one by the new.
func (s *Store) Adopt(ctx context.Context, from, to string) (err error) {
	defer wrap(&err, "community %q as %q", from, to)
	if err := trade.CheckText("community id", to, 100); err != nil {
		return err
	}
	return s.inTx(ctx, func(q querier) error {
		changed, err := q.exec(ctx, `UPDATE communities SET ref = ? WHERE ref = ?`, to, from)
		if err == nil && changed == 0 {
			return ErrNotFound
		}
		return err
	})
}

// Leave notes that the program is out of the community's server. What the
// community knows stays until EraseDue. A second call changes nothing.
func (g *Group) Leave(ctx context.Context) (err error) {
	defer wrap(&err, "leave %q", g.ref)
	return g.set(ctx, `UPDATE communities SET left_at = ? WHERE id = ? AND left_at = ''`, formatTime(g.store.now()))
}

// Return notes that the program is back in the community's server.
func (g *Group) Return(ctx context.Context) (err error) {
	defer wrap(&err, "return to %q", g.ref)
	left, err := g.Left(ctx)
	if err != nil || left.IsZero() {
		return err // nothing to write down
	}
	return g.set(ctx, `UPDATE communities SET left_at = ? WHERE id = ?`, "")
}

// Left returns since when the program is out of the community's server, the zero
// time if it is in it.
func (g *Group) Left(ctx context.Context) (at time.Time, err error) {
	defer wrap(&err, "left %q", g.ref)
	var text string
	err = g.store.look().row(ctx, `SELECT left_at FROM communities WHERE id = ?`, g.id).Scan(&text)
	if err != nil || text == "" {
		return time.Time{}, err
	}
	return time.Parse(timeText, text)
}

// SetTrainerRole names the role, by the platform's id, whose holders are
// trainers; "" for none.
func (g *Group) SetTrainerRole(ctx context.Context, id string) (err error) {
	defer wrap(&err, "set trainer role of %q", g.ref)
	if err := checkPlatformID("trainer role", id); err != nil {
		return err
	}
	return g.set(ctx, `UPDATE communities SET trainer_role = ? WHERE id = ?`, id)
}

// SetReminderChannel names the channel, by the platform's id, in which the
// community is reminded; "" for no reminders.
func (g *Group) SetReminderChannel(ctx context.Context, id string) (err error) {
	defer wrap(&err, "set reminder channel of %q", g.ref)
	if err := checkPlatformID("reminder channel", id); err != nil {
		return err
	}
	return g.set(ctx, `UPDATE communities SET reminder_channel = ? WHERE id = ?`, id)
}

// LongestLink is how long the address of a protocol may be, in characters.
const LongestLink = 300

// SetProtocolLink sets where the community's own emergency protocol is read: an
// https address of at most LongestLink characters; "" for none.
func (g *Group) SetProtocolLink(ctx context.Context, link string) (err error) {
	defer wrap(&err, "set protocol link of %q", g.ref)
	if link != "" {
		if err := trade.CheckText("protocol link", link, LongestLink); err != nil {
			return err
		}
		address, err := url.Parse(link)
		if err != nil || address.Scheme != "https" || address.Hostname() == "" || address.User != nil || strings.ContainsAny(link, " <>\"") {
			return trade.Refuse("protocol link", "%q is no https address; write it whole, like https://example.org/protocol", link)
		}
	}
	return g.set(ctx, `UPDATE communities SET protocol_link = ? WHERE id = ?`, link)
}

// SetZone sets the time zone of the community's dates, an IANA name.
func (g *Group) SetZone(ctx context.Context, zone string) (err error) {
	defer wrap(&err, "set time zone of %q", g.ref)
	if _, err := time.LoadLocation(zone); err != nil || zone == "" {
		return trade.Refuse("time zone", "%q is not a known time zone; write it like Europe/Lisbon", zone)
	}
	return g.set(ctx, `UPDATE communities SET zone = ? WHERE id = ?`, zone)
}

// set runs an UPDATE of the community with a new value and its number.
func (g *Group) set(ctx context.Context, statement string, value any) error {
	return g.store.inTx(ctx, func(q querier) error {
		_, err := q.exec(ctx, statement, value, g.id)
		return err
	})
}

func checkPlatformID(field, id string) error {
	if id == "" {
		return nil
	}
	return trade.CheckText(field, id, 100)
}

// CommunitiesOf returns the refs of the communities that somebody is a member of,
// by the platform's id of the person, in the order joined.
func (s *Store) CommunitiesOf(ctx context.Context, member string) (refs []string, err error) {
	defer wrap(&err, "communities of a member")
	return collect(ctx, s.look(), scanColumn[string], `
		SELECT c.ref FROM members m
		JOIN communities c ON c.id = m.community_id
		WHERE m.ref = ? ORDER BY m.id`, trade.Tidy(member))
}
