package discordtest

import (
	"errors"
	"strconv"
	"time"
)

// Post is a message a person writes.
type Post struct {
	Text    string
	Files   []File
	ReplyTo Message // zero = none
	Ping    bool    // a reply notifies the one replied to
}

// post is a written message that may be answered.
type post struct {
	message    *message
	sent       time.Time
	replies    []*message
	answeredAt time.Time
	changed    chan struct{}
}

// Mention is a person writing to the bot in a channel: the text with the bot's
// mention before it. The answer is the bot's reply to that message.
func (s *Server) Mention(u *User, place Place, text string) *Answer {
	return s.Post(u, place, Post{Text: s.Bot().Mention() + " " + text})
}

// DirectMessage is a person writing to the bot in private. The answer is the
// bot's next message there.
func (s *Server) DirectMessage(u *User, text string) *Answer {
	return s.Post(u, u.DM(), Post{Text: text})
}

// Say is a person writing in a channel, to nobody in particular.
func (s *Server) Say(u *User, place Place, text string) *Answer {
	return s.Post(u, place, Post{Text: text})
}

// Post is a person writing a message of any kind. Mentions in the text work as
// the platform's: <@id>. What was written is in [Answer.Posted].
func (s *Server) Post(u *User, place Place, p Post) *Answer {
	ch := s.lockPlace(place)
	defer s.mu.Unlock()
	what := "message " + strconv.Quote(p.Text)
	if !memberHere(u, ch) {
		return s.refused(what, errors.New(u.Name+" is no member here"))
	}
	m := s.newMessage(ch, u)
	m.content = p.Text
	m.pings = s.notified(p.Text, ch, allowAll, false)
	for _, one := range p.Files {
		m.files = append(m.files, s.attach(one, ch.ID))
	}
	if target := s.messages[p.ReplyTo.ID]; target != nil {
		m.kind, m.replyTo = typeReply, target
		if p.Ping {
			m.pings.users = append(m.pings.users, target.author)
		}
	}
	one := &post{message: m, sent: time.Now(), changed: make(chan struct{})}
	ch.posts = append(ch.posts, one)
	m.announce("MESSAGE_CREATE")
	return &Answer{srv: s, what: what, post: one}
}

// Posted is the message the person wrote; zero for an interaction.
func (a *Answer) Posted() Message {
	a.srv.mu.Lock()
	defer a.srv.mu.Unlock()
	if a.post == nil {
		return Message{}
	}
	return a.post.message.view()
}

// answered notes a message of the bot as the answer to what it replies to, or
// in direct messages to the newest message before it.
func (s *Server) answered(m *message) {
	for i := len(m.channel.posts) - 1; i >= 0; i-- {
		p := m.channel.posts[i]
		if m.replyTo != p.message && !(m.replyTo == nil && m.channel.kind == channelDM) {
			continue
		}
		p.note(m)
		return
	}
}

func (p *post) note(m *message) {
	for _, known := range p.replies {
		if known == m {
			return // an edit
		}
	}
	p.replies = append(p.replies, m)
	if len(p.replies) == 1 {
		p.answeredAt = time.Now()
	}
	close(p.changed)
	p.changed = make(chan struct{})
}

// DeleteMessage is a person, or a moderator, deleting a message.
func (s *Server) DeleteMessage(m Message) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if one := s.messages[m.ID]; one != nil {
		one.remove()
	}
}
