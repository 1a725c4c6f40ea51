package main

import (
	"bytes"
	"encoding/json"
	"io"
	"net"
	"net/http"
	"regexp"
	"strings"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
)

func page(t *testing.T, address string) (int, string) {
	t.Helper()
	resp, err := http.Get("http://" + address)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	text, err := io.ReadAll(resp.Body)
	if err != nil {
		t.Fatal(err)
	}
	return resp.StatusCode, string(text)
}

// eventually asks until a page holds a part.
func eventually(t *testing.T, address, part string) string {
	t.Helper()
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		_, text := page(t, address)
		if strings.Contains(text, part) {
			return text
		}
		if time.Now().After(end) {
			t.Fatalf("no %q in\n%s", part, text)
		}
	}
}

func TestWhoeverRunsTheBotSeesInside(t *testing.T) {
	t.Parallel()
	srv, guild, ada, environ := platform(t)
	p := startProgram(t, append(environ, toBeSeen))
	offered(t, srv, ada, guild)
	address := p.address(t)
	if status, text := page(t, address+"/healthz"); status != http.StatusOK ||
		text != "ok    store: it answers\nok    gateway: heard on all of 1 shard(s)\n" {
		t.Errorf("%d\n%s", status, text)
	}
	srv.Command(ada, guild, "hold", discordtest.Opt("text", "orrick mid 27g 13mm")).Message()
	text := eventually(t, address+"/metrics", `holdbench_answers_total{command="hold",outcome="answered"} 1`)
	wants(t, text, `holdbench_answer_seconds_count{command="hold"} 1`, `holdbench_gateway_connected{shard="0"} 1`,
		"holdbench_store_up 1", `holdbench_work_at_hand{lane="answers"} 0`, "holdbench_backup_wanted 0", "go_goroutines ", "holdbench_build_info{")
	for _, private := range []string{srv.Token(), guild.ID, ada.ID, `"ada"`, "orrick", "Bench"} {
		if strings.Contains(text, private) {
			t.Errorf("%q is in the metrics", private)
		}
	}
	p.terminate(t)
	if _, err := http.Get("http://" + address + "/healthz"); err == nil {
		t.Error("still there after the end")
	}
}

func TestAnAddressThatCannotBeListenedOnEndsTheStartInWords(t *testing.T) {
	_, _, _, environ := platform(t)
	for address, says := range map[string]string{"0.0.0.0:9464": "not an address that this machine alone can reach",
		"127.0.0.1:99999": "inside.listen"} {
		got := bot(t, append(environ, "HOLDBENCH_INSIDE_LISTEN="+address), "")
		if exitCode(got.err) != exitUseless {
			t.Fatalf("%s: %v", address, got.err)
		}
		wants(t, got.err.Error(), "inside.listen", says)
	}
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	got := bot(t, append(environ, "HOLDBENCH_INSIDE_LISTEN="+taken.Addr().String()), "")
	if exitCode(got.err) != exitFailed || !strings.Contains(got.err.Error(), "inside.listen") {
		t.Errorf("a taken address: %v", got.err)
	}
}

func TestTheLogIsJSONWhereAskedForAndBeginsWithTheSettings(t *testing.T) {
	t.Parallel()
	srv, guild, ada, environ := platform(t)
	p := startProgram(t, append(environ, "HOLDBENCH_LOG_FORMAT=json"))
	offered(t, srv, ada, guild)
	out := p.terminate(t)
	lines, settings := 0, map[string]any{}
	for _, line := range bytes.Split([]byte(out), []byte("\n")) {
		if !bytes.HasPrefix(line, []byte("{")) {
			continue // what is said to whoever started it
		}
		var entry map[string]any
		if err := json.Unmarshal(line, &entry); err != nil {
			t.Errorf("%v: %s", err, line)
		}
		if entry["msg"] == "settings" {
			settings = entry
		}
		lines++
	}
	if lines < 3 || settings["discord.token"] != "***" || settings["log.format"] != "json" ||
		settings["hold.ceiling_s"] != "10" {
		t.Errorf("%d lines, settings %v", lines, settings)
	}
	if strings.Contains(out, srv.Token()) {
		t.Error("the token is in the log")
	}
}

func TestVersionTellsWhichBuildThisIs(t *testing.T) {
	got := mustRun(t, nil, "", "version")
	if !regexp.MustCompile(`^holdbench \d+\.\d+\.\d+ (of an unknown revision|[0-9a-f]{40}( with changes)?) go1\.\d+\S* \w+/\w+\n$`).MatchString(got) {
		t.Errorf("%q", got)
	}
}
