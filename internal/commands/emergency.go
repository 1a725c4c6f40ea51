package commands

import (
	"context"
	"strings"
	"time"

	"holdbench/internal/commands/urgent"
)

// What is said in an emergency. Nothing else is on such a Card: no figure, no choice, no picture, no button, no caveat.
const (
	directionHarm  = "Stop. Follow the local emergency protocol now. Call for help."
	directionBlood = "Treat it as in a vessel. Do not inject. Follow the local protocol."
	noGuide        = "This tool is no guide to it."
)

// stateUrgent is the state of a direction in the figures.
const stateUrgent = "urgent"

// directed is a direction for a program.
type directed struct {
	State     string `json:"state"`
	Direction string `json:"direction"`
	Protocol  string `json:"protocol,omitempty"` // the address of the group's own
}

// storeWithin is how long the direction waits for the store to give the names of the gels and the address of the
// protocol.
const storeWithin = 500 * time.Millisecond

// Emergency answers a request that tells of harm or of blood seen, or goes on about it; it is false for any other. A
// surface calls it before anything that could turn a request away: it needs no role and no channel, and env may have no
// Group.
func Emergency(ctx context.Context, env *Env, req Request) (Card, bool) {
	kind := env.emergency(req)
	if kind == urgent.None {
		return Card{}, false
	}
	env.remember(req, turn{urgent: kind})
	c := Card{Title: directionHarm, Address: env.protocolLink(ctx), Bare: true, Urgent: true}
	if kind == urgent.Blood {
		c.Title = directionBlood
	}
	c.line(noGuide)
	c.Figures = directed{stateUrgent, c.Title + " " + noGuide, c.Address}
	return c, true
}

// TellsOfEmergency reports whether Emergency has a direction for a request.
func TellsOfEmergency(env *Env, req Request) bool { return env.emergency(req) != urgent.None }

// emergency is the emergency that a request tells of, or the last turn's if the request goes on about it.
func (env *Env) emergency(req Request) urgent.Kind {
	if kind := env.heard(req); kind != urgent.None {
		return kind
	}
	if last := env.recall(req).urgent; last != urgent.None && urgent.GoesOn(lineOf(req)) {
		return last
	}
	return urgent.None
}

// lineOf is a typed line with its command's word, where that was typed.
func lineOf(req Request) string {
	switch {
	case req.Command == holdName || strings.Contains(req.Command, " ") && req.Said == "":
		return req.Text
	case req.Said != "":
		return req.Said
	}
	return strings.TrimSpace(req.Command + " " + req.Text)
}

// heard is the gravest emergency that the words of a request tell of. A post to be logged is read as a log line, in
// which blood is the name of the liquid.
func (env *Env) heard(req Request) urgent.Kind {
	texts := []string{lineOf(req)}
	for _, m := range []map[string]string{req.Values, req.Filled} {
		for _, value := range m {
			texts = append(texts, value)
		}
	}
	if req.Post != nil {
		texts = append(texts, logName+" "+req.Post.Text)
	}
	gravest := urgent.None
	for _, text := range texts {
		switch env.hear(text) {
		case urgent.Harm:
			return urgent.Harm
		case urgent.Blood:
			gravest = urgent.Blood
		}
	}
	return gravest
}

// hear is the emergency that a text tells of. The names of the group's gels are no sign of one; they are read only
// where the text has a sign, so that nobody else waits for them.
func (env *Env) hear(text string) urgent.Kind {
	kind := urgent.Hear(text)
	if kind == urgent.None || env.Group == nil {
		return kind
	}
	ctx, stop := context.WithTimeout(context.Background(), storeWithin)
	defer stop()
	list, err := env.Group.Vocabulary(ctx)
	if err != nil {
		return kind
	}
	var known []string
	for _, p := range list.Products {
		known = append(append(known, p.Name), p.Aliases...)
	}
	return urgent.Hear(text, known...)
}

// protocolLink is the address of the group's own protocol, "" where there is none or the store does not give it in
// time.
func (env *Env) protocolLink(ctx context.Context) string {
	if env.Group == nil {
		return ""
	}
	ctx, stop := context.WithTimeout(ctx, storeWithin)
	defer stop()
	settings, err := env.Group.Settings(ctx)
	if err != nil {
		env.faults().WarnContext(ctx, "the address of the protocol cannot be read", "error", err)
		return ""
	}
	return settings.ProtocolLink
}
