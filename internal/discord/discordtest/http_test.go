package discordtest_test

import (
	"io"
	"net/http"
	"strings"
	"testing"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/discordtest"
)

// get makes a bare request with good headers, changed by change.
func get(t *testing.T, s scene, path string, change func(http.Header)) (*http.Response, error) {
	t.Helper()
	req, err := http.NewRequest(http.MethodGet, s.srv.URL()+path, nil)
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Authorization", "Bot "+s.srv.Token())
	req.Header.Set("User-Agent", "DiscordBot (https://example.org, 1.0)")
	if change != nil {
		change(req.Header)
	}
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		return nil, err
	}
	_, err = io.Copy(io.Discard, resp.Body)
	if closing := resp.Body.Close(); err == nil {
		err = closing
	}
	return resp, err
}

func TestHeadersVersionsAndPathsAreChecked(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	for _, text := range []string{"User-Agent", "API version 8", "no such route", "API version 0"} {
		s.srv.ExpectViolation(text)
	}
	for _, c := range []struct {
		path   string
		change func(http.Header)
		want   int
	}{
		{"/api/v9/users/@me", nil, 200},
		{"/api/v10/users/@me", nil, 200},
		{"/api/v8/users/@me", nil, 400},
		{"/api/users/@me", nil, 400},
		{"/api/v9/none", nil, 404},
		{"/api/v9/users/@me", func(h http.Header) { h.Set("User-Agent", "curl/8") }, 403},
		{"/api/v9/users/@me", func(h http.Header) { h.Del("Authorization") }, 401},
		{"/api/v9/users/@me", func(h http.Header) { h.Set("Authorization", s.srv.Token()) }, 401},
		{"/api/v9/gateway", func(h http.Header) { h.Del("Authorization") }, 200},
	} {
		resp, err := get(t, s, c.path, c.change)
		if err != nil || resp.StatusCode != c.want {
			t.Errorf("%s: %v, %v, want %d", c.path, resp, err, c.want)
		}
	}
}

func TestTooManyRefusalsBanTheAddress(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{InvalidLimit: 3}, nil)
	for i := range 4 {
		resp, err := get(t, s, "/api/v9/users/@me", func(h http.Header) { h.Del("Authorization") })
		want := 401
		if i == 3 {
			want = 403
		}
		if err != nil || resp.StatusCode != want {
			t.Errorf("request %d: %v, %v", i, resp, err)
		}
	}
}

func TestBodiesAreChecked(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	for _, text := range []string{"50109", "Invalid Content-Type", "only payload_json and files[n]", "no filename"} {
		s.srv.ExpectViolation(text)
	}
	path := s.srv.URL() + "/api/v9/channels/" + s.guild.Channel("general").ID + "/messages"
	const part = "--x\r\nContent-Disposition: form-data; name=\"%\"\r\n\r\n1\r\n--x--\r\n"
	for _, c := range []struct {
		kind, body string
		want       int
	}{
		{"application/json", "{", 400},
		{"application/json", "{}{}", 400},
		{"application/json", "", 400},
		{"text/plain", "x", 400},
		{"multipart/form-data; boundary=x", strings.Replace(part, "%", "file0\"; filename=\"a", 1), 400},
		{"multipart/form-data; boundary=x", strings.Replace(part, "%", "files[0]", 1), 400},
		{"multipart/form-data; boundary=x", strings.Replace(part, "%", "files[0]\"; filename=\"a", 1), 200},
	} {
		req, err := http.NewRequest(http.MethodPost, path, strings.NewReader(c.body))
		if err != nil {
			t.Fatal(err)
		}
		req.Header.Set("Authorization", "Bot "+s.srv.Token())
		req.Header.Set("User-Agent", "DiscordBot (https://example.org, 1.0)")
		req.Header.Set("Content-Type", c.kind)
		resp, err := http.DefaultClient.Do(req)
		if err != nil {
			t.Fatal(err)
		}
		if resp.StatusCode != c.want {
			t.Errorf("%s %q: %s", c.kind, c.body, resp.Status)
		}
		_ = resp.Body.Close()
	}
}

func TestWhatTheBotCanLookUp(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	me := discordgo.EndpointApplication("@me")
	app, err := s.dg.RequestWithBucketID(http.MethodGet, me, nil, me)
	if err != nil || !strings.Contains(string(app), `"id":"`+s.srv.ApplicationID()+`"`) {
		t.Errorf("application %s, %v", app, err)
	}
	if g, err := s.dg.Guild(s.guild.ID); err != nil || g.OwnerID != s.guild.Owner.ID || len(g.Roles) != 2 {
		t.Errorf("guild %+v, %v", g, err)
	}
	if m, err := s.dg.GuildMember(s.guild.ID, s.ada.ID); err != nil || m.User.Username != "ada" {
		t.Errorf("member %+v, %v", m, err)
	}
	_, err = s.dg.GuildMember(s.guild.ID, "1")
	wantStatus(t, err, 404, 10007)
	if all, err := s.dg.GuildChannels(s.guild.ID); err != nil || len(all) != 1 || all[0].Name != "general" {
		t.Errorf("channels %v, %v", all, err)
	}
	if all, err := s.dg.GuildRoles(s.guild.ID); err != nil || len(all) != 2 || !all[1].Managed {
		t.Errorf("roles %v, %v", all, err)
	}
	if all, err := s.dg.UserGuilds(10, "", "", false); err != nil || len(all) != 1 {
		t.Errorf("guilds %v, %v", all, err)
	}
	s.srv.LeaveGuild(s.guild)
	_, err = s.dg.Guild(s.guild.ID)
	wantStatus(t, err, 403, 50001)
}
