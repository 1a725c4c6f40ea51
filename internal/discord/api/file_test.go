package api

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

func TestFilesComeFromTheFileHostAlone(t *testing.T) {
	elsewhere := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter,
		*http.Request) {
		t.Error("another host was asked")
	}))
	defer elsewhere.Close()
	host := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch r.URL.Path {
		case "/attachments/1/away":
			http.Redirect(w, r, elsewhere.URL, http.StatusFound)
		default:
			_, _ = w.Write([]byte("gel,needle\n"))
		}
	}))
	defer host.Close()
	if data, err := FetchFile(t.Context(), host.URL, host.URL+"/attachments/1/a.csv", 100); err != nil ||
		string(data) != "gel,needle\n" {
		t.Errorf("%q, %v", data, err)
	}
	for scene, address := range map[string]string{
		"another host":           elsewhere.URL + "/attachments/1/a.csv",
		"a redirect":             host.URL + "/attachments/1/away",
		"without https":          "http://cdn.discordapp.com/attachments/1/a.csv",
		"a name like it":         "https://cdn.discordapp.com.example.invalid/a.csv",
		"a name before it":       "https://cdn.discordapp.com@127.0.0.1/a.csv",
		"another port":           "https://cdn.discordapp.com:8443/a.csv",
		"a file of this machine": "file:///etc/hostname",
		"its API":                host.URL + "/api/v10/users/@me",
		"its API, disguised":     host.URL + "/attachments/..//api/v10/users/@me",
		"nothing":                "",
	} {
		for _, standIn := range []string{"", host.URL} {
			if data, err := FetchFile(t.Context(), standIn, address, 100); err == nil {
				t.Errorf("%s: fetched %q", scene, data)
			}
		}
	}
	if _, err := FetchFile(t.Context(), host.URL, host.URL+"/attachments/1/a.csv", 5); err == nil ||
		!strings.Contains(err.Error(), "larger") {
		t.Errorf("too large: %v", err)
	}
}

// Files of the API's own address are fetched where that is not Discord's: a stand-in has
// them with everything else. Discord's file host is one in any case.
func TestWhereFilesMayBeFetched(t *testing.T) {
	for base, want := range map[string]string{
		"https://discord.com/api/v10": "", "https://canary.discord.com/api": "",
		"http://127.0.0.1:9321/api/v10":     "http://127.0.0.1:9321",
		"https://discord.com.example.test/": "https://discord.com.example.test",
		"http://standin:8080":               "http://standin:8080",
		"nothing":                           "",
	} {
		if got := Files(base); got != want {
			t.Errorf("%s: %q, want %q", base, got, want)
		}
		own, err := mayFetch(Files(base), "https://cdn.discordapp.com/attachments/1/2/a.csv")
		if !own || err != nil {
			t.Errorf("%s: Discord's own host: %t, %v", base, own, err)
		}
	}
}

// Whatever the host's name leads to, no address inside a network is connected to.
func TestNoPrivateAddressIsConnectedTo(t *testing.T) {
	for _, address := range []string{"127.0.0.1:443", "10.0.0.7:443", "192.168.1.1:443", "169.254.169.254:443",
		"[::1]:443",
		"[fd00::1]:443", "[::ffff:127.0.0.1]:443", "0.0.0.0:443", "[fe80::1]:443"} {
		if publicOnly("tcp", address, nil) == nil {
			t.Errorf("%s may be connected to", address)
		}
	}
	if err := publicOnly("tcp", "162.159.130.233:443", nil); err != nil {
		t.Error(err)
	}
}
