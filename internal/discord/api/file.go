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
	"path"
	"strings"
	"syscall"
	"time"
)

// fileHost is where Discord keeps attachments.
const fileHost = "cdn.discordapp.com"

// ownHost is the domain of Discord's API.
const ownHost = "discord.com"

// fetchLimit is how long fetching a file may take.
const fetchLimit = 30 * time.Second

var errNotTheHost = errors.New("the file is not on the platform's own host")

// Files returns the host, with scheme and port, from which FetchFile may fetch beside Discord's own file host, if the
// API is at base: a stand-in serves its own attachments. It is "" if base is Discord's own.
func Files(base string) string {
	at, err := url.Parse(base)
	if err != nil || at.Host == "" || at.Hostname() == ownHost || strings.HasSuffix(at.Hostname(), "."+ownHost) {
		return ""
	}
	return at.Scheme + "://" + at.Host
}

// FetchFile fetches an attachment of at most most bytes. It fetches from Discord's file host by https and from no
// private address, or from standIn, unless that is ""; it follows no redirect and sends no token.
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

// mayFetch returns an error unless address is on Discord's file host, then own is true, or on standIn. A stand-in's API
// is refused: standIn may be a proxy that adds the bot's token to what it passes on.
func mayFetch(standIn, address string) (own bool, err error) {
	at, err := url.Parse(address)
	if err != nil || at.User != nil {
		return false, errNotTheHost
	}
	switch at.Scheme + "://" + at.Host {
	case "https://" + fileHost:
		return true, nil
	case standIn:
		if !strings.Contains(path.Clean("/"+at.Path)+"/", "/api/") {
			return false, nil
		}
	}
	return false, errNotTheHost
}

// publicOnly refuses to connect to a private address, whatever name resolved to it.
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

// withoutAddress removes the address from an error: it is signed, so whoever has it can fetch the file.
func withoutAddress(err error) error {
	if at, is := errors.AsType[*url.Error](err); is {
		return at.Err
	}
	return err
}
