package discord

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base32"
	"errors"
	"maps"
	"slices"
	"strings"

	"holdbench/internal/commands"
)

// A button or an option carries what it asks for, in a hundred characters:
//
//	a:hold?A=12/3/1&H=~QRST ask, about a combination by its pin
//	a~ABCDEFGHIJKLMNOP?log  ask what is kept in memory under that key
//
// The letter says what to do with it. What is kept is lost at a restart; the command after the key still says what it
// was about.
const (
	askKind  = 'a' // ask, and answer whoever pressed
	showKind = 's' // ask, and show the answer to the channel
	formKind = 'm' // a filled-in form
	// Ask another group of the asker's, and have it answer direct messages from now on. Without a group, or as a
	// list, it asks which one.
	groupKind = 'g'
	pickKind  = 'p' // a list of requests: the picked value is the request
	listKind  = 'v' // a list of values for the option whose name comes first

	// The same as ask, form and list, but the answer takes the place of the message that was pressed on.
	askHere  = 'h'
	formHere = 'n'
	listHere = 'w'
)

// The parts of a request beside its options, whose names are lower case.
const (
	aboutPart = "A"
	textPart  = "T"
	typedPart = "C" // the text may hold options
	keyPart   = "K"
	cleanPart = "P" // the asker has said that the text is not about a patient
	linkPart  = "L"
	replyPart = "R" // the answers to questions about a test, one a line
	groupPart = "H" // the server whose group is asked: its id in a direct message, its sign in a server
	markPart  = "N" // marks an unasked message, so that it can be found again; no part of the request
)

// postBase begins the address of every message. In a custom id postSign stands for it.
const (
	postBase = "https://discord.com/channels/"
	postSign = "~"
)

// wrap and unwrap escape the characters that have a meaning in a packed request.
var wrap = strings.NewReplacer("%", "%25", "&", "%26", "=", "%3D", "+", "%2B", "~", "%7E", "\n", "%0A", " ", "+")

var unwrap = strings.NewReplacer("%26", "&", "%3D", "=", "%2B", "+", "%7E", "~", "%0A", "\n", "%25", "%", "+", " ")

// pack writes a request as one line. ok is false for a filled-in form or a post, which are too long.
func pack(req commands.Request, server string) (line string, ok bool) {
	if req.Filled != nil || req.Post != nil {
		return "", false
	}
	req = req.Short()
	parts := map[string]string{
		aboutPart: wrap.Replace(req.About), textPart: wrap.Replace(req.Text), keyPart: wrap.Replace(req.Key),
		groupPart: server,
	}
	if req.Text != "" && req.Typed {
		parts[typedPart] = "1"
	}
	parts[replyPart] = wrap.Replace(strings.Join(req.Replies, "\n"))
	if req.NoPatient {
		parts[cleanPart] = "1"
	}
	if after, posted := strings.CutPrefix(req.Link, postBase); posted {
		parts[linkPart] = postSign + wrap.Replace(after)
	} else {
		parts[linkPart] = wrap.Replace(req.Link)
	}
	for name, value := range req.Values {
		parts[name] = wrap.Replace(value)
	}
	var pairs []string
	for _, name := range slices.Sorted(maps.Keys(parts)) {
		if parts[name] != "" {
			pairs = append(pairs, name+"="+parts[name])
		}
	}
	return req.Command + "?" + strings.Join(pairs, "&"), true
}

var errNotARequest = errors.New("not a request")

// unpack reads a packed request and its server, "" for none. The line may be forged: it can ask no more than what its
// sender could type.
func unpack(line string) (req commands.Request, server string, err error) {
	command, rest, found := strings.Cut(line, "?")
	if !found || command == "" {
		return req, "", errNotARequest
	}
	req = commands.Request{Command: command, Values: map[string]string{}}
	for _, pair := range strings.Split(rest, "&") {
		if pair == "" {
			continue
		}
		name, wrapped, found := strings.Cut(pair, "=")
		if !found || name == "" {
			return req, "", errNotARequest
		}
		if wrapped == "" { // pack leaves out empty values
			continue
		}
		value := unwrap.Replace(wrapped)
		switch name {
		case aboutPart:
			req.About = value
		case textPart:
			req.Text = value
		case typedPart:
			req.Typed = true
		case keyPart:
			req.Key = value
		case cleanPart:
			req.NoPatient = true
		case replyPart:
			req.Replies = strings.Split(value, "\n")
		case groupPart:
			server = value
		case markPart:
		case linkPart:
			if after, posted := strings.CutPrefix(wrapped, postSign); posted {
				value = postBase + unwrap.Replace(after)
			}
			req.Link = value
		default:
			req.Values[name] = value
		}
	}
	return req, server, nil
}

// remembered is a request that is too long for a custom id, and the server whose group it asks.
type remembered struct {
	server  string
	request commands.Request
}

// signMark begins the sign of a server.
const signMark = "~"

// signOf is a short hash of a server's id: enough to notice a button of another server, too little to say which.
func signOf(server string) string {
	sum := sha256.Sum256([]byte("home of a button: " + server))
	return signMark + base32.StdEncoding.EncodeToString(sum[:])[:4]
}

// customID is the custom id of a button or a form that asks for a request.
func (b *Bot) customID(kind rune, p place, req commands.Request) string {
	return string(kind) + b.carry(p, req, maxCustomID-1)
}

// carry writes a request, and the server whose group it asks, into at most most characters. If it does not fit it is
// kept in memory. The server matters because numbers of one group mean something else in another.
func (b *Bot) carry(p place, req commands.Request, most int) string {
	req.Asker = commands.Asker{} // the member who presses it is the asker
	server := p.server
	if !p.direct && server != "" {
		server = signOf(server)
	}
	if line, ok := pack(req, server); ok && length(line)+1 <= most {
		return ":" + line
	}
	key := rand.Text()[:16] // 80 bits, which nobody can guess
	b.requests.Put(key, remembered{p.server, req})
	return "~" + key + "?" + b.named(req.Command) // an undeclared command could be of any length
}

// carried reads what carry wrote. usedIn is the server where it was used, "" for a direct message: the request of one
// server is an error in another. With an error the request may still name the command.
func (b *Bot) carried(usedIn, text string) (req commands.Request, server string, err error) {
	if line, is := strings.CutPrefix(text, ":"); is {
		req, server, err = unpack(line)
	} else {
		rest, is := strings.CutPrefix(text, "~")
		key, command, _ := strings.Cut(rest, "?")
		r, there := b.requests.Get(key)
		if !is || !there {
			return commands.Renamed(commands.Request{Command: command}), "", errNotARequest
		}
		req, server = r.request, r.server
	}
	if strings.HasPrefix(server, signMark) && server == signOf(usedIn) {
		server = usedIn
	}
	if err == nil && server != "" && server != usedIn && (usedIn != "" || strings.HasPrefix(server, signMark)) {
		err = errNotARequest
	}
	return commands.Renamed(req), server, err
}
