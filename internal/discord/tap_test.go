package discord

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"holdbench/internal/discord/api"
	"holdbench/internal/discord/discordtest"
)

// tap takes the bot's answers off the wire, so that a test can send what no client
// would: any interaction, in any server, by anybody, with any rights.
type tap struct {
	bot *Bot
	mu  sync.Mutex
	all map[string]string // what was answered, by token
	n   int
}

// tapped puts a tap on a scene's bot, which has not been started yet.
func tapped(s *scene) *tap {
	w := &tap{bot: s.bot, all: map[string]string{}}
	w.bot.replies = api.NewReplies(trip(func(r *http.Request) (*http.Response, error) {
		body, err := io.ReadAll(r.Body)
		w.mu.Lock()
		defer w.mu.Unlock()
		for token := range w.all {
			if strings.Contains(r.URL.Path, "/"+token+"/") {
				w.all[token] += string(body) + "\n"
			}
		}
		return says(200, "{}"), err
	}), "test")
	return w
}

// by is who does something, and where; server is "" for a direct message.
type by struct {
	user        *discordtest.User
	server      string
	permissions int64
	roles       []string
}

// send sends an interaction and returns all that the bot answered to it.
func (w *tap) send(t testing.TB, who by, kind int, data map[string]any) string {
	t.Helper()
	w.mu.Lock()
	w.n++
	token := fmt.Sprintf("tap-%d-", w.n)
	w.all[token] = ""
	w.mu.Unlock()
	user := map[string]any{"id": who.user.ID, "username": who.user.Name}
	ix := map[string]any{"id": fmt.Sprint(900_000_000_000_000_000 + w.n), "token": token, "application_id": "1",
		"type": kind, "data": data, "user": user}
	if who.server != "" {
		delete(ix, "user")
		ix["guild_id"] = who.server
		ix["member"] = map[string]any{"user": user, "roles": who.roles, "permissions": fmt.Sprint(who.permissions)}
	}
	raw, err := json.Marshal(ix)
	if err != nil {
		t.Fatal(err)
	}
	w.bot.interact(raw, time.Now())
	w.mu.Lock()
	defer w.mu.Unlock()
	answer := w.all[token]
	delete(w.all, token)
	if answer == "" {
		t.Errorf("no answer to %s", raw)
	}
	return answer
}

// command sends a command with options as a person would fill them in.
func (w *tap) command(t testing.TB, who by, name string, options ...discordtest.Option) string {
	t.Helper()
	var filled []map[string]any
	for _, o := range options {
		filled = append(filled, map[string]any{"name": o.Name, "value": o.Value})
	}
	return w.send(t, who, commandInteraction, map[string]any{"name": name, "type": chatCommandType, "options": filled})
}

// use presses a button, picks from a list or sends a form, by what it carries.
func (w *tap) use(t testing.TB, who by, carried string) string {
	t.Helper()
	switch carried[0] {
	case formKind, formHere:
		var fields []any
		for name, value := range map[string]string{"gel": "Orrick Mid", "setup": "27G 13 mm needle", "result": "3.1",
			"results": "B-1 3.1", "product": "Orrick Mid", "instrument": "27G 13 mm needle"} {
			fields = append(fields, map[string]any{"type": labelKind,
				"component": map[string]any{"type": textKind, "custom_id": name, "value": value}})
		}
		return w.send(t, who, formInteraction, map[string]any{"custom_id": carried, "components": fields})
	case ':', '~':
		return w.send(t, who, componentInteraction, map[string]any{"custom_id": string(pickKind),
			"component_type": selectKind, "values": []string{carried}})
	}
	data := map[string]any{"custom_id": carried, "component_type": buttonKind}
	if carried[0] == listKind || carried[0] == listHere {
		data["component_type"], data["values"] = selectKind, []string{"12"}
	}
	return w.send(t, who, componentInteraction, data)
}

var (
	customIDs    = regexp.MustCompile(`"custom_id":("(?:[asmhn]|[vw][a-z]*)(?:[:~])(?:[^"\\]|\\.)*")`)
	optionValues = regexp.MustCompile(`"value":("[:~](?:[^"\\]|\\.)*")`)
)

// offers are what the buttons, lists and forms of an answer carry.
func offers(t testing.TB, answer string) (all []string) {
	t.Helper()
	for _, form := range []*regexp.Regexp{customIDs, optionValues} {
		for _, found := range form.FindAllStringSubmatch(answer, -1) {
			var carried string
			if err := json.Unmarshal([]byte(found[1]), &carried); err != nil {
				t.Fatal(err)
			}
			all = append(all, carried)
		}
	}
	return all
}
