package discordtest_test

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"holdbench/internal/discord/discordtest"
)

// dial opens a bare connection and returns it after HELLO.
func dial(t *testing.T, srv *discordtest.Server, version string) *websocket.Conn {
	t.Helper()
	ws, _, err := websocket.DefaultDialer.Dial(srv.GatewayURL()+"/?encoding=json&v="+version, nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = ws.Close() })
	if err := ws.SetReadDeadline(time.Now().Add(30 * time.Second)); err != nil {
		t.Fatal(err)
	}
	if op := read(t, ws); op != 10 {
		t.Fatalf("first came op %d, not HELLO", op)
	}
	return ws
}

func read(t *testing.T, ws *websocket.Conn) int {
	t.Helper()
	var p struct {
		Op int `json:"op"`
	}
	if err := ws.ReadJSON(&p); err != nil {
		t.Fatal(err)
	}
	return p.Op
}

// closeCode reads until the server closes.
func closeCode(t *testing.T, ws *websocket.Conn) int {
	t.Helper()
	for {
		_, _, err := ws.ReadMessage()
		var closed *websocket.CloseError
		switch {
		case errors.As(err, &closed):
			return closed.Code
		case err != nil:
			t.Fatal(err)
		}
	}
}

func write(t *testing.T, ws *websocket.Conn, op int, data map[string]any) {
	t.Helper()
	if err := ws.WriteJSON(map[string]any{"op": op, "d": data}); err != nil {
		t.Fatal(err)
	}
}

func identity(srv *discordtest.Server, change func(map[string]any)) map[string]any {
	data := map[string]any{
		"token": srv.Token(), "intents": 513, "properties": map[string]any{"os": "linux", "browser": "x",
			"device": "x"},
	}
	if change != nil {
		change(data)
	}
	return data
}

// The close codes are those of topics/opcodes-and-status-codes.
func TestBreachesOfTheGatewayProtocolCloseItWithTheirCode(t *testing.T) {
	t.Parallel()
	cases := []struct {
		scene     string
		code      int
		violation string
		do        func(*testing.T, *discordtest.Server, *websocket.Conn)
	}{
		{"op before identify", 4003, "before IDENTIFY", func(t *testing.T, _ *discordtest.Server,
			ws *websocket.Conn) {
			write(t, ws, 3, nil)
		}},
		{"unknown op", 4001, "unknown op", func(t *testing.T, srv *discordtest.Server, ws *websocket.Conn) {
			write(t, ws, 2, identity(srv, nil))
			write(t, ws, 99, nil)
		}},
		{"no JSON", 4002, "not JSON", func(t *testing.T, _ *discordtest.Server, ws *websocket.Conn) {
			if err := ws.WriteMessage(websocket.TextMessage, []byte("{")); err != nil {
				t.Fatal(err)
			}
		}},
		{"payload above 4096 bytes", 4002, "the limit is 4096",
			func(t *testing.T, srv *discordtest.Server, ws *websocket.Conn) {
				write(t, ws, 2, identity(srv, func(d map[string]any) { d["presence"] = strings.Repeat("x", 4096) }))
			}},
		{"two identifies", 4005, "IDENTIFY on a connection",
			func(t *testing.T, srv *discordtest.Server, ws *websocket.Conn) {
				write(t, ws, 2, identity(srv, nil))
				write(t, ws, 2, identity(srv, nil))
			}},
		{"more than 120 payloads a minute", 4008, "more than 120",
			func(t *testing.T, srv *discordtest.Server, ws *websocket.Conn) {
				write(t, ws, 2, identity(srv, nil))
				for range 120 {
					write(t, ws, 3, nil)
				}
			}},
		{"no intents", 4002, "without intents", func(t *testing.T, srv *discordtest.Server, ws *websocket.Conn) {
			write(t, ws, 2, identity(srv, func(d map[string]any) { delete(d, "intents") }))
		}},
		{"unknown intents", 4013, "invalid intents", func(t *testing.T, srv *discordtest.Server, ws *websocket.Conn) {
			write(t, ws, 2, identity(srv, func(d map[string]any) { d["intents"] = 1 << 30 }))
		}},
		{"shard out of range", 4010, "invalid shard", func(t *testing.T, srv *discordtest.Server, ws *websocket.Conn) {
			write(t, ws, 2, identity(srv, func(d map[string]any) { d["shard"] = []int{2, 2} }))
		}},
		{"large_threshold out of range", 4002, "large_threshold",
			func(t *testing.T, srv *discordtest.Server, ws *websocket.Conn) {
				write(t, ws, 2, identity(srv, func(d map[string]any) { d["large_threshold"] = 10 }))
			}},
	}
	for _, c := range cases {
		t.Run(c.scene, func(t *testing.T) {
			srv := discordtest.New(t)
			srv.ExpectViolation(c.violation)
			ws := dial(t, srv, "10")
			c.do(t, srv, ws)
			if got := closeCode(t, ws); got != c.code {
				t.Errorf("closed with %d, want %d", got, c.code)
			}
		})
	}
}

func TestAnOldGatewayVersionIsRefused(t *testing.T) {
	t.Parallel()
	srv := discordtest.New(t)
	srv.ExpectViolation("gateway version")
	ws := dial(t, srv, "8")
	write(t, ws, 2, identity(srv, nil))
	if got := closeCode(t, ws); got != 4012 {
		t.Errorf("closed with %d", got)
	}
}

func TestTooManyGuildsAskForSharding(t *testing.T) {
	t.Parallel()
	srv := discordtest.New(t, discordtest.Options{GuildsPerShard: 1})
	srv.AddGuild("A")
	srv.AddGuild("B")
	srv.ExpectViolation("guilds on a shard")
	ws := dial(t, srv, "10")
	write(t, ws, 2, identity(srv, nil))
	if got := closeCode(t, ws); got != 4011 {
		t.Errorf("closed with %d", got)
	}
}

func TestAClientWithoutHeartbeatsIsDropped(t *testing.T) {
	t.Parallel()
	srv := discordtest.New(t, discordtest.Options{Heartbeat: 50 * time.Millisecond})
	ws := dial(t, srv, "10")
	write(t, ws, 2, identity(srv, nil))
	if got := closeCode(t, ws); got != 4009 {
		t.Errorf("closed with %d", got)
	}
}

func TestResumeRules(t *testing.T) {
	t.Parallel()
	srv := discordtest.New(t)
	guild, ada := srv.AddGuild("Bench"), srv.User("ada")
	guild.Join(ada)
	ws := dial(t, srv, "10")
	write(t, ws, 2, identity(srv, nil))
	ready := readEvent(t, ws, "READY")
	var r struct {
		Session string `json:"session_id"`
		URL     string `json:"resume_gateway_url"`
	}
	if err := json.Unmarshal(ready.Data, &r); err != nil || r.URL == "" {
		t.Fatalf("READY %s: %v", ready.Data, err)
	}
	created := readEvent(t, ws, "GUILD_CREATE")
	_ = ws.Close() // without a close frame: the session lives on
	waitGateway(t, srv, func(c discordtest.GatewayCounts) bool { return c.Open == 0 })
	for _, text := range []string{"one", "two"} {
		srv.Mention(ada, guild, text)
	}

	resume := func(seq int64) *websocket.Conn {
		ws := dial(t, srv, "10")
		write(t, ws, 6, map[string]any{"token": srv.Token(), "session_id": r.Session, "seq": seq})
		return ws
	}
	ws = resume(created.Seq)
	for _, text := range []string{"one", "two"} {
		if e := readEvent(t, ws, "MESSAGE_CREATE"); !strings.Contains(string(e.Data), text) {
			t.Errorf("replayed %s, want %q", e.Data, text)
		}
	}
	last := readEvent(t, ws, "RESUMED")
	_ = ws.Close()
	if got := closeCode(t, resume(last.Seq+100)); got != 4007 {
		t.Errorf("a sequence from the future closed with %d", got)
	}
	ws = resume(last.Seq)
	if op := read(t, ws); op != 9 {
		t.Errorf("RESUME of an ended session is answered with op %d", op)
	}
}

type packet struct {
	Op   int             `json:"op"`
	Seq  int64           `json:"s"`
	Type string          `json:"t"`
	Data json.RawMessage `json:"d"`
}

// readEvent reads the next payload, which must be the event.
func readEvent(t *testing.T, ws *websocket.Conn, name string) packet {
	t.Helper()
	var p packet
	if err := ws.ReadJSON(&p); err != nil {
		t.Fatal(err)
	}
	if p.Type != name {
		t.Fatalf("got %+v, want %s", p, name)
	}
	return p
}

func TestACleanCloseEndsTheSession(t *testing.T) {
	t.Parallel()
	srv := discordtest.New(t)
	ws := dial(t, srv, "10")
	write(t, ws, 2, identity(srv, nil))
	ready := readEvent(t, ws, "READY")
	var r struct {
		Session string `json:"session_id"`
	}
	if err := json.Unmarshal(ready.Data, &r); err != nil {
		t.Fatal(err)
	}
	bye := websocket.FormatCloseMessage(websocket.CloseNormalClosure, "")
	if err := ws.WriteMessage(websocket.CloseMessage, bye); err != nil {
		t.Fatal(err)
	}
	waitGateway(t, srv, func(c discordtest.GatewayCounts) bool { return c.Open == 0 })
	ws = dial(t, srv, "10")
	write(t, ws, 6, map[string]any{"token": srv.Token(), "session_id": r.Session, "seq": ready.Seq})
	if op := read(t, ws); op != 9 {
		t.Errorf("RESUME after close code 1000 is answered with op %d", op)
	}
}

func TestWelcomesThatTakeThePlaceOfTheHandshake(t *testing.T) {
	t.Parallel()
	srv := discordtest.New(t)
	srv.NextConnection(discordtest.ReconnectBeforeReady(), discordtest.SilentInsteadOfReady())
	ws := dial(t, srv, "10")
	write(t, ws, 2, identity(srv, nil))
	if op := read(t, ws); op != 7 {
		t.Errorf("op %d came first", op)
	}
	readEvent(t, ws, "READY")

	srv.Clock.Advance(time.Minute)
	ws = dial(t, srv, "10")
	write(t, ws, 2, identity(srv, nil))
	if err := ws.SetReadDeadline(time.Now().Add(200 * time.Millisecond)); err != nil {
		t.Fatal(err)
	}
	if _, raw, err := ws.ReadMessage(); err == nil {
		t.Errorf("a silent connection said %s", raw)
	}

	srv.NextConnection(discordtest.ReconnectInsteadOfHello(), discordtest.NoHello())
	ws, _, err := websocket.DefaultDialer.Dial(srv.GatewayURL()+"/?encoding=json&v=10", nil)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = ws.Close() }()
	if op := read(t, ws); op != 7 {
		t.Errorf("in place of HELLO came op %d", op)
	}
	mute, _, err := websocket.DefaultDialer.Dial(srv.GatewayURL()+"/?encoding=json&v=10", nil)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = mute.Close() }()
	if err := mute.SetReadDeadline(time.Now().Add(200 * time.Millisecond)); err != nil {
		t.Fatal(err)
	}
	if _, raw, err := mute.ReadMessage(); err == nil {
		t.Errorf("without HELLO came %s", raw)
	}
}
