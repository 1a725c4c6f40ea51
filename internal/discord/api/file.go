package api

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"strings"
	"syscall"
	"time"
)

// fileHost is where Discord keeps what people attach.
const fileHost = "cdn.discordapp.com"

// ownHost is where Discord's API is, or above it.
const ownHost = "discord.com"

// fetchLimit is how long a file may take.
const fetchLimit = 30 * time.Second

var errNotTheHost = errors.New("the file is not on the platform's own host")

// Files is where files may be fetched beside Discord's own file host when the API is
// reached at base: at that same scheme, host and port if it is a stand-in or a proxy, ""
// if it is Discord's own.
func Files(base string) string {
	at, err := url.Parse(base)
	if err != nil || at.Host == "" || at.Hostname() == ownHost || strings.HasSuffix(at.Hostname(), "."+ownHost) {
		return ""
	}
	return at.Scheme + "://" + at.Host
}

// FetchFile fetches what somebody attached, from Discord's own file host: by https, without
// following a redirect, from no private address, and no more than so many bytes. standIn is
// the address of a stand-in whose files may be fetched, too, "" for none.
func FetchFile(ctx context.Context, standIn, address string, most int64) (data []byte, err error) {
	own, err := mayFetch(standIn, address)
	if err != nil {
		return nil, err
	}
	ctx, stop := context.WithTimeout(ctx, fetchLimit)
	defer stop()
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, address, nil)
	if err != nil {
		return nil, errNotTheHost
	}
	dialer := &net.Dialer{Timeout: fetchLimit, Control: publicOnly}
	if !own {
		dialer.Control = nil // a stand-in may be on this machine
	}
	transport := &http.Transport{DialContext: dialer.DialContext, DisableKeepAlives: true, ForceAttemptHTTP2: true}
	client := &http.Client{Transport: transport,
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	res, err := client.Do(req)
	if err != nil {
		return nil, fmt.Errorf("fetching a file: %w", withoutAddress(err))
	}
	defer func() { err = errors.Join(err, res.Body.Close()) }()
	if res.StatusCode != http.StatusOK {
		return nil, fmt.Errorf("fetching a file: status %d", res.StatusCode)
	}
	data, err = io.ReadAll(io.LimitReader(res.Body, most+1))
	if err == nil && int64(len(data)) > most {
		err = fmt.Errorf("the file is larger than %d bytes", most)
	}
	return data, err
}

// mayFetch refuses an address that is not one of the file host's, nor of a stand-in's; own
// is the platform's.
func mayFetch(standIn, address string) (own bool, err error) {
	at, err := url.Parse(address)
	if err != nil || at.User != nil {
		return false, errNotTheHost
	}
	switch at.Scheme + "://" + at.Host {
	case "https://" + fileHost:
		return true, nil
	case standIn:
		return false, nil
	}
	return false, errNotTheHost
}

// publicOnly refuses to connect to an address inside a network, whatever a name led to.
func publicOnly(_, address string, _ syscall.RawConn) error {
	at, err := netip.ParseAddrPort(address)
	if err != nil {
		return err
	}
	ip := at.Addr().Unmap()
	if !ip.IsGlobalUnicast() || ip.IsPrivate() {
		return errNotTheHost
	}
	return nil
}

// withoutAddress is an error without the address, which is signed.
func withoutAddress(err error) error {
	if at, is := errors.AsType[*url.Error](err); is {
		return at.Err
	}
	return err
}
