package discordtest_test

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/discordtest"
)

func contract(t *testing.T) *discordtest.Contract {
	t.Helper()
	path, err := discordtest.FindContract()
	if errors.Is(err, discordtest.ErrNoContract) {
		t.Skip(err)
	}
	if err != nil {
		t.Fatal(err)
	}
	c, err := discordtest.LoadContract(path)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func request(method, path, body string) discordtest.Request {
	r := discordtest.Request{Method: method, Path: path, Version: 10, Header: map[string]string{}}
	if body != "" {
		r.Header["Content-Type"], r.Body = "application/json", json.RawMessage(body)
	}
	return r
}

// The examples are requests as the platform's documentation shows them, and
// near misses of them.
func TestTheContractTellsGoodRequestsFromBad(t *testing.T) {
	t.Parallel()
	c := contract(t)
	for _, one := range []struct {
		scene, method, path, body string
		good                      bool
	}{
		{"a message", "POST", "/channels/1/messages", `{"content":"x","embeds":null,"flags":"4"}`, true},
		{"a message whose content is a number", "POST", "/channels/1/messages", `{"content":1}`, false},
		{"eleven embeds", "POST", "/channels/1/messages", `{"embeds":[{},{},{},{},{},{},{},{},{},{},{}]}`, false},
		{"a colour as digits", "POST", "/channels/1/messages", `{"embeds":[{"title":"x","color":"255"}]}`, true},
		{"a colour as digits out of range", "POST", "/channels/1/messages",
			`{"embeds":[{"title":"x","color":"16777216"}]}`, false},
		{"a colour in words", "POST", "/channels/1/messages", `{"embeds":[{"title":"x","color":"red"}]}`, false},
		{"a nonce of digits", "POST", "/channels/1/messages", `{"content":"x","nonce":"12345"}`, true},
		{"a nonce in words", "POST", "/channels/1/messages", `{"content":"x","nonce":"weekly"}`, true},
		{"a number as attachment id", "POST", "/channels/1/messages", `{"attachments":[{"id":0,"description":"x"}]}`,
			true},
		{"a button", "POST", "/channels/1/messages", `{"components":[{"type":1,"components":[{"type":2,"style":1,"custom_id":"a","label":"x"}]}]}`, true},
		{"a button without style", "POST", "/channels/1/messages",
			`{"components":[{"type":1,"components":[{"type":2,"custom_id":"a"}]}]}`, false},
		{"an answer", "POST", "/interactions/1/token/callback",
			`{"type":4,"data":{"content":"x","tts":false,"embeds":null}}`, true},
		{"an unknown answer", "POST", "/interactions/1/token/callback", `{"type":3}`, false},
		{"a modal", "POST", "/interactions/1/token/callback",
			`{"type":9,"data":{"custom_id":"m","title":"t","components":[{"type":18,"label":"l","component":{"type":4,"custom_id":"a","style":1}}]}}`, true},
		{"a modal without title", "POST", "/interactions/1/token/callback",
			`{"type":9,"data":{"custom_id":"m","components":[{"type":18,"label":"l","component":{"type":4,"custom_id":"a","style":1}}]}}`, false},
		{"suggestions", "POST", "/interactions/1/token/callback",
			`{"type":8,"data":{"choices":[{"name":"n","value":"12"}]}}`, true},
		{"an edit", "PATCH", "/webhooks/1/token/messages/@original", `{"content":"x"}`, true},
		{"a follow-up", "POST", "/webhooks/1/token", `{"content":"x","flags":64}`, true},
		{"a command", "PUT", "/applications/1/commands", `[{"name":"hold","description":"x","default_member_permissions":"32","options":[{"type":3,"name":"p","description":"x"}]}]`, true},
		{"an option of an unknown type", "PUT", "/applications/1/commands",
			`[{"name":"hold","description":"x","options":[{"type":33,"name":"p","description":"x"}]}]`, false},
		{"a body where none belongs", "GET", "/users/@me", `{"x":1}`, false},
		{"no body where one belongs", "POST", "/users/@me/channels", ``, false},
		{"an unknown path", "GET", "/users/@me/nothing/here", ``, false},
		{"an unknown method", "PUT", "/gateway", ``, false},
		{"an id that is none", "GET", "/guilds/bench", ``, false},
	} {
		if err := c.Check(request(one.method, one.path, one.body)); (err == nil) != one.good {
			t.Errorf("%s: %v", one.scene, err)
		}
	}
}

func TestTheContractChecksQueriesAndUploads(t *testing.T) {
	t.Parallel()
	c := contract(t)
	for query, good := range map[string]bool{"limit=5": true, "limit=five": false, "colour=red": false} {
		r := request("GET", "/channels/1/messages", "")
		r.Query = query
		if err := c.Check(r); (err == nil) != good {
			t.Errorf("%s: %v", query, err)
		}
	}
	r := request("POST", "/channels/1/messages", `{"content":"x"}`)
	r.Header["Content-Type"] = "multipart/form-data; boundary=x"
	r.Files = []discordtest.RecordedFile{{Field: "files[0]", Name: "a.png"}}
	if err := c.Check(r); err != nil {
		t.Error(err)
	}
	r.Body = json.RawMessage(`{"content":2}`)
	if c.Check(r) == nil {
		t.Error("a bad upload passed")
	}
}

func TestWhatTheLibrarySendsFitsTheContract(t *testing.T) {
	t.Parallel()
	record := filepath.Join(t.TempDir(), "requests.jsonl")
	got, handle := took()
	s := play(t, discordtest.Options{Record: record}, handle)
	channel := s.guild.Channel("general")
	m, err := s.dg.ChannelMessageSendComplex(channel.ID, &discordgo.MessageSend{Content: "x",
		Components: buttons().Components})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.dg.ChannelMessageEdit(channel.ID, m.ID, "y"); err != nil {
		t.Fatal(err)
	}
	upload(t, s, "POST", discordgo.EndpointChannelMessages(channel.ID),
		obj{"attachments": arr{obj{"id": "0", "description": "alt"}}},
		[]*discordgo.File{{Name: "a.png", Reader: strings.NewReader("x")}})
	for _, kind := range []discordgo.InteractionResponseType{discordgo.InteractionResponseModal,
		discordgo.InteractionResponseDeferredChannelMessageWithSource} {
		s.ask()
		i := next(t, got)
		data := form()
		if kind != discordgo.InteractionResponseModal {
			data = nil
		}
		respond(t, s.dg, i, kind, data)
		if data == nil {
			text := "done"
			if _, err := s.dg.InteractionResponseEdit(i.Interaction,
				&discordgo.WebhookEdit{Content: &text}); err != nil {
				t.Fatal(err)
			}
		}
	}
	s.srv.ExpectViolation("content: Must be 2000")
	if _, err := s.dg.ChannelMessageSend(channel.ID, long(2001)); err == nil {
		t.Error("too long a message was accepted")
	}
	requests, err := discordtest.ReadRecord(record)
	if err != nil {
		t.Fatal(err)
	}
	r := contract(t).CheckAll(requests)
	if r.Checked < 8 || r.Refused != 1 || len(r.Problems) != 0 {
		t.Errorf("got %+v", r)
	}
}

func TestTheRecordKeepsNoSecrets(t *testing.T) {
	t.Parallel()
	record := filepath.Join(t.TempDir(), "requests.jsonl")
	got, handle := took()
	s := play(t, discordtest.Options{Record: record}, handle)
	s.ask()
	i := next(t, got)
	respond(t, s.dg, i, discordgo.InteractionResponseChannelMessageWithSource,
		&discordgo.InteractionResponseData{Content: "x"})
	raw, err := os.ReadFile(record)
	if err != nil {
		t.Fatal(err)
	}
	for _, secret := range []string{s.srv.Token(), i.Token} {
		if strings.Contains(string(raw), secret) {
			t.Errorf("the record holds %s", secret)
		}
	}
	all := s.srv.Requests("POST", "/interactions/*/token/callback")
	if len(all) != 1 || all[0].Status != 204 || all[0].Header["Authorization"] != "present" ||
		!strings.Contains(string(all[0].Body), `"content":"x"`) {
		t.Errorf("recorded %+v", all)
	}
}

func TestWhereTheContractIsLookedFor(t *testing.T) {
	t.Setenv(discordtest.ContractVariable, filepath.Join(t.TempDir(), "none.json"))
	if _, err := discordtest.FindContract(); !errors.Is(err, discordtest.ErrNoContract) {
		t.Errorf("got %v", err)
	}
	// without the variable, the one in the tree that this folder is in
	t.Setenv(discordtest.ContractVariable, "")
	dir := t.TempDir()
	inner := filepath.Join(dir, "a", "b")
	spec := filepath.Join(dir, "internal", "discord", "discordtest", "testdata", "discord-openapi.json")
	for _, folder := range []string{inner, filepath.Dir(spec)} {
		if err := os.MkdirAll(folder, 0o700); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(spec, []byte("{}"), 0o600); err != nil {
		t.Fatal(err)
	}
	t.Chdir(inner)
	if got, err := discordtest.FindContract(); err != nil || got != spec {
		t.Errorf("found %q, %v", got, err)
	}
	other := filepath.Join(t.TempDir(), "other.json")
	if err := os.WriteFile(other, []byte(`{"paths":{}}`), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := discordtest.LoadContract(other); err == nil {
		t.Error("a file that is no OpenAPI document was taken")
	}
}

func TestTheReportOnARecord(t *testing.T) {
	contract(t) // skips where it cannot be had
	dir := t.TempDir()
	good := request("POST", "/channels/1/messages", `{"content":"x"}`)
	bad := request("POST", "/channels/1/messages", `{"content":1}`)
	refused := bad
	refused.Violations = []string{"content: …"}
	for scene, c := range map[string]struct {
		requests []discordtest.Request
		well     bool
		want     string
	}{
		"good":    {[]discordtest.Request{good, refused}, true, "1 requests checked, 0 broke it; 1 that"},
		"bad":     {[]discordtest.Request{good, bad}, false, "2 requests checked, 1 broke it"},
		"missing": {nil, true, "no requests were made"},
	} {
		path := filepath.Join(dir, scene)
		for _, r := range c.requests {
			appendLine(t, path, r)
		}
		var out strings.Builder
		if well := discordtest.ReportContract(&out, path); well != c.well || !strings.Contains(out.String(), c.want) {
			t.Errorf("%s: %t, %s", scene, well, &out)
		}
	}
	t.Setenv(discordtest.ContractVariable, filepath.Join(dir, "none.json"))
	var out strings.Builder
	if !discordtest.ReportContract(&out, filepath.Join(dir, "good")) ||
		!strings.Contains(out.String(), "skipped: the platform's OpenAPI document is not here") {
		t.Errorf("without a contract: %s", &out)
	}
}

func appendLine(t *testing.T, path string, r discordtest.Request) {
	t.Helper()
	line, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	file, err := os.OpenFile(path, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := file.Write(append(line, '\n')); err != nil {
		t.Fatal(err)
	}
	if err := file.Close(); err != nil {
		t.Fatal(err)
	}
}
