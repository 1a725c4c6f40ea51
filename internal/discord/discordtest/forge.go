package discordtest

// Kinds of forged interactions (interactions/receiving-and-responding).
const (
	ForgedCommand      = interactionCommand
	ForgedComponent    = interactionComponent
	ForgedAutocomplete = interactionAutocomplete
	ForgedModal        = interactionModal
)

// stringOption is the type of an option that takes text
// (interactions/application-commands).
const stringOption = 3

// Forge delivers an interaction with any data, as no honest client would send it:
// the bot's answer is held to the same rules as every other. on is the message that
// a component or a form belongs to; its zero value stands for none.
func (s *Server) Forge(u *User, place Place, kind int, what string, data map[string]any, on Message) *Answer {
	ch := s.lockPlace(place)
	defer s.mu.Unlock()
	ix := &interaction{user: u, channel: ch, kind: kind, what: what, data: data, focus: stringOption,
		source: s.messages[on.ID]}
	if ix.source != nil {
		ix.channel = ix.source.channel
	}
	return &Answer{srv: s, what: what, ix: s.interact(ix)}
}
