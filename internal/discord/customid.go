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
// The letter says what is to be done with it. What is kept is gone after a
// restart; the command behind the key says what it was about.
const (
	askKind  = 'a' // ask, and answer whoever pressed
	showKind = 's' // ask, and show the answer to the channel
	formKind = 'm' // a filled-in form
	// Ask another group of the asker's, which answers in direct messages from now on; where
	// none is named, or as a list: which one.
	groupKind = 'g'
	pickKind  = 'p' // a list to pick from; what is picked is in the values
	listKind  = 'v' // a list whose values are those of the option that is named first

	// The same, the answer taking the place of what was pressed.
	askHere  = 'h'
	formHere = 'n'
	listHere = 'w'
)

// The parts of a request that are no options. Options are written in small
// letters.
const (
	aboutPart = "A"
	textPart  = "T"
	typedPart = "C" // the text may hold options
	keyPart   = "K"
	cleanPart = "P" // what is typed is not about a patient, the asker said
	linkPart  = "L"
	replyPart = "R" // what was answered to a question about a test, one a line
	groupPart = "H" // the server whose group is asked: in a direct message its id, in a server its sign
	markPart  = "N" // tells a message of the bot's own from others; asks for nothing
)

// postBase begins the address of every message; it is written as one character.
const (
	postBase = "https://discord.com/channels/"
	postSign = "~"
)

// wrap and unwrap mark the characters that have a meaning in a packed request.
var wrap = strings.NewReplacer("%", "%25", "&", "%26", "=", "%3D", "+", "%2B", "~", "%7E", "\n", "%0A", " ", "+")

var unwrap = strings.NewReplacer("%26", "&", "%3D", "=", "%2B", "+", "%7E", "~", "%0A", "\n", "%25", "%", "+", " ")

// pack writes a request in one line. What somebody typed into a form, or posted,
// is too long for it: ok is false.
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

// unpack reads a packed request, and the server it is about where it says one.
// The line may come from anybody: whatever it says is asked as if it had been
// typed.
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
		if wrapped == "" { // pack leaves out what is empty
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

// remembered is a request that was too long to carry, and whose group it asks.
type remembered struct {
	server  string
	request commands.Request
}

// signMark begins the sign of a server.
const signMark = "~"

// signOf is a server in a few characters: enough to know that a button is another
// server's, too little to say which.
func signOf(server string) string {
	sum := sha256.Sum256([]byte("home of a button: " + server))
	return signMark + base32.StdEncoding.EncodeToString(sum[:])[:4]
}

// carry writes a request into at most so many characters, keeping it in memory
// if it has to. It says whose group it asks: numbers of one group mean other
// things in another.
func (b *Bot) carry(p place, req commands.Request, most int) string {
	req.Asker = commands.Asker{} // whoever presses asks
	server := p.server
	if !p.direct && server != "" {
		server = signOf(server)
	}
	if line, ok := pack(req, server); ok && length(line)+1 <= most {
		return ":" + line
	}
	key := rand.Text()[:16] // 80 bits, which nobody can guess
	b.requests.Put(key, remembered{p.server, req})
	return "~" + key + "?" + b.named(req.Command) // one that is not declared may be of any length
}

// carried reads what carry wrote, and whose group it asks. usedIn is the server where
// it was used, "" for a direct message: a request of one server is not known in
// another. With an error the request may still tell the command.
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
