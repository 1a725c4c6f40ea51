package knowledge

import (
	"context"
	"database/sql/driver"
	"fmt"
	"net/url"
	"reflect"
	"strings"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// Settings are a community's own.
type Settings struct {
	Name, Zone string       // the zone is an IANA name
	Ceiling    calc.Seconds // the longest hold it calls usable, above 0, at most MaxCeiling
	Target     float64      // the share of tests a hold must cover, 0.5 to 0.99

	LeastTests   int // how many tests a hold takes, 2 to MaxLeast
	LeastMembers int // by how many members, 1 to MaxLeast

	TrainerRole     string // the platform's id of the role whose holders are trainers, "" none
	ReminderChannel string // the platform's id of the channel for reminders, "" off
	ProtocolLink    string // the https address of its own emergency protocol, "" none

	ReminderWeekday time.Weekday // the day of the weekly prompt
	ReminderHour    int          // and its hour, 0 to 23, in the community's zone
	BoxItems        int          // how many items in the box make a bench session due, 1 to 50
	BoxDays         int          // how many days in the box make one due, 1 to 365
	KeepDays        int          // how many days its log is kept after the program left its server, 1 to 3650
}

// The limits. The defaults are in the store's schema (Monday, 8 h, 5 items, 28 days, 30 days
// after leaving). All are the project's choice, no source.
const (
	mostBoxItems = 50
	mostBoxDays  = 365
	mostKeepDays = 3650
)

// Settings returns the community's settings.
func (g *Group) Settings(ctx context.Context) (s Settings, err error) {
	defer wrap(&err, "settings of %q", g.ref)
	return g.settings(ctx, g.store.look())
}

// storedSetting is one of the settings with its names in the store and in the history.
type storedSetting struct {
	column, name string
	value        any // a pointer to it
}

func (s *Settings) stored() []storedSetting {
	return []storedSetting{
		{"name", "name", &s.Name}, {"zone", "zone", &s.Zone},
		{"ceiling_s", "ceiling", &s.Ceiling}, {"target_share", "target", &s.Target},
		{"least_tests", "tests", &s.LeastTests}, {"least_members", "members", &s.LeastMembers},
		{"trainer_role", "trainers' role", &s.TrainerRole}, {"reminder_channel", "channel", &s.ReminderChannel},
		{"protocol_link", "protocol", &s.ProtocolLink},
		{"reminder_weekday", "day", &s.ReminderWeekday}, {"reminder_hour", "hour", &s.ReminderHour},
		{"box_items", "items in the box", &s.BoxItems}, {"box_days", "days in the box", &s.BoxDays},
		{"keep_days", "days kept", &s.KeepDays},
	}
}

// columns returns the columns of the settings and pointers to their values.
func (s *Settings) columns() (columns []string, values []any) {
	for _, one := range s.stored() {
		columns, values = append(columns, one.column), append(values, one.value)
	}
	return columns, values
}

func (g *Group) settings(ctx context.Context, q querier) (s Settings, err error) {
	columns, values := s.columns()
	err = q.Row(ctx, `SELECT `+strings.Join(columns, ", ")+` FROM communities WHERE id = ?`, g.id).Scan(values...)
	return s, err
}

// UpdateSettings stores what change makes of the present settings: all of it or, with an
// error, nothing. If the rule for a hold has changed, what is said of each combination is
// brought up to date, now or at the next question.
//
// Errors: *trade.FieldError for what is outside the limits; the error of change.
func (g *Group) UpdateSettings(ctx context.Context, change func(*Settings) error) (err error) {
	defer wrap(&err, "change settings of %q", g.ref)
	err = g.store.inTx(ctx, func(q querier) error {
		_, _, err := g.changeSettings(ctx, q, change)
		return err
	})
	if err == nil {
		_ = g.bringUpToDate(ctx, goBy)
	}
	return err
}

// ChangeSettings is UpdateSettings with a line in the history that says by whom.
//
// Errors: as UpdateSettings; ErrNotFound for a member that is not there.
func (g *Group) ChangeSettings(ctx context.Context, by Member, change func(*Settings) error) (err error) {
	defer wrap(&err, "change settings of %q", g.ref)
	err = g.changeLists(ctx, by, listChange{action: SettingsAct}, func(q querier, c *listChange) error {
		before, after, err := g.changeSettings(ctx, q, change)
		if c.before, c.after = before.changes(after); before == after {
			c.action = ""
		}
		return err
	})
	if err == nil {
		_ = g.bringUpToDate(ctx, goBy)
	}
	return err
}

func (g *Group) changeSettings(ctx context.Context, q querier, change func(*Settings) error) (before, after Settings,
	err error) {
	if before, err = g.settings(ctx, q); err != nil {
		return before, after, err
	}
	after = before
	if err := change(&after); err != nil {
		return before, after, err
	}
	if after.TrainerRole == g.ref { // the id of the role that everybody has is that of the server
		return before, after, trade.Refuse("trainer role", "cannot be everybody's; name a role that only trainers hold")
	}
	if err := after.validate(); err != nil {
		return before, after, err
	}
	columns, values := after.columns()
	for i, value := range values {
		if values[i], err = driver.DefaultParameterConverter.ConvertValue(value); err != nil {
			return before, after, err
		}
	}
	err = q.do(ctx, `UPDATE communities SET `+strings.Join(columns, ` = ?, `)+` = ? WHERE id = ?`,
		append(values, g.id)...)
	return before, after, err
}

// changes returns the settings that differ, in words: as they were, and as they are.
func (s Settings) changes(to Settings) (was, is string) {
	var a, b []string
	now := to.stored()
	for i, one := range s.stored() {
		before, after := one.said(), now[i].said()
		if before != after {
			a, b = append(a, before), append(b, after)
		}
	}
	return strings.Join(a, ", "), strings.Join(b, ", ")
}

// said is a setting in words.
func (s storedSetting) said() string {
	if ceiling, is := s.value.(*calc.Seconds); is {
		return s.name + " " + trade.Number(float64(*ceiling)) + " s"
	}
	return fmt.Sprint(s.name, " ", reflect.ValueOf(s.value).Elem())
}

func (s Settings) validate() error {
	if s.ReminderWeekday < time.Sunday || s.ReminderWeekday > time.Saturday {
		return trade.Refuse("weekday", "there is no day number %d of a week", s.ReminderWeekday)
	}
	for field, id := range map[string]string{"trainer role": s.TrainerRole, "reminder channel": s.ReminderChannel} {
		if id == "" {
			continue
		}
		if err := trade.CheckText(field, id, 100); err != nil {
			return err
		}
	}
	for _, err := range []error{
		trade.CheckText("community name", s.Name, 100), checkZone(s.Zone), checkLink(s.ProtocolLink),
		trade.CheckAbove("ceiling", float64(s.Ceiling), 0, float64(MaxCeiling), "s"),
		trade.CheckRange("target share", s.Target, 0.5, 0.99, ""),
		trade.CheckRange("least tests", float64(s.LeastTests), calc.LeastLeastTests, MaxLeast, ""),
		trade.CheckRange("least members", float64(s.LeastMembers), calc.LeastLeastMembers, MaxLeast, ""),
		trade.CheckRange("hour", float64(s.ReminderHour), 0, 23, ""),
		trade.CheckRange("items in the box", float64(s.BoxItems), 1, mostBoxItems, ""),
		trade.CheckRange("days in the box", float64(s.BoxDays), 1, mostBoxDays, "days"),
		trade.CheckRange("days kept", float64(s.KeepDays), 1, mostKeepDays, "days"),
	} {
		if err != nil {
			return err
		}
	}
	return nil
}

// LongestLink is how long the address of a protocol may be, in characters.
const LongestLink = 300

// checkLink accepts an https address without spaces or marks that would cut it off where it
// is shown, or "".
func checkLink(link string) error {
	if link == "" {
		return nil
	}
	if err := trade.CheckText("protocol link", link, LongestLink); err != nil {
		return err
	}
	address, err := url.Parse(link)
	if err != nil || address.Scheme != "https" || address.Hostname() == "" || address.User != nil ||
		strings.ContainsAny(link, " <>\"") {
		return trade.Refuse("protocol link", "%q is no https address; write it whole, like "+
			"https://example.org/protocol", link)
	}
	return nil
}

func checkZone(zone string) error {
	if _, err := time.LoadLocation(zone); err != nil || zone == "" {
		return trade.Refuse("time zone", "%q is not a known time zone; write it like Europe/Lisbon", zone)
	}
	return nil
}
