package config

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// tokenFile is a file with a text in it, for its owner alone.
func tokenFile(t *testing.T, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "token")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestTheTokenMayStandInAFileOfItsOwn(t *testing.T) {
	c, err := Load("", []string{"HOLDBENCH_DISCORD_TOKEN_FILE=" + tokenFile(t, "from-its-file\r\n")})
	if err != nil || c.Discord.Token.Reveal() != "from-its-file" {
		t.Fatalf("%q, %v", c.Discord.Token.Reveal(), err)
	}
	if text := c.String(); strings.Contains(text, "from-its-file") || !strings.Contains(text, "*** ") {
		t.Errorf("shown as\n%s", text)
	}
}

func TestATokenFileThatIsNoneIsRefusedWithoutShowingIt(t *testing.T) {
	for scene, path := range map[string]string{
		"not there": filepath.Join(t.TempDir(), "none"), "a folder": t.TempDir(), "empty": tokenFile(t, " \n"),
		"two tokens": tokenFile(t, "secret-one\nsecret-two\n"), "far too long": tokenFile(t,
			strings.Repeat("secret", 1000)),
	} {
		_, err := Load("", []string{"HOLDBENCH_DISCORD_TOKEN_FILE=" + path})
		if err == nil || !strings.Contains(err.Error(), "discord.token_file") ||
			strings.Contains(err.Error(), "secret") {
			t.Errorf("%s: %v", scene, err)
		}
	}
}

func TestOnlyAddressesOnThisMachineAreListenedOn(t *testing.T) {
	for address, want := range map[string]bool{
		"127.0.0.1:9464": true, "127.8.8.8:1": true, "[::1]:9464": true, "localhost:9464": true, "127.0.0.1:0": true,
		"0.0.0.0:9464": false, ":9464": false, "[::]:9464": false, "192.0.2.1:9464": false, "bench.example:9464": false,
		"127.0.0.1": false, "9464": false, "127.0.0.1:http": false, "127.0.0.1:70000": false,
	} {
		if got := onThisMachine(address); got != want {
			t.Errorf("%s: %v, want %v", address, got, want)
		}
	}
}
