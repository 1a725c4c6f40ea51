package discord

import (
	"context"
	"net/http"
	"slices"
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
)

// In a direct message nothing says which group is meant. It is one whose server
// the asker is in, as Discord says now: whoever has left is not told anything.

const (
	// belongsFor is how long somebody is taken to be in a server without asking
	// again, strangerFor how long not to be.
	belongsFor  = 10 * time.Minute
	strangerFor = 30 * time.Second
	// mostCandidates is how many servers are looked at for somebody of whom nothing is
	// known.
	mostCandidates = 20
	// fewCandidates is the same where it is settled which group answers them.
	fewCandidates = 5
)

// membership is whether somebody is in a server, as Discord last said.
type membership struct {
	in    bool
	until time.Time // after that Discord is asked again
}

// serversOf finds the servers whose group somebody can be asking. Where it is settled
// which one it is, that one stands first: the one that is wanted, else the one they chose
// to answer, else the one they asked last, else the only one.
func (b *Bot) serversOf(ctx context.Context, user, wanted string) (found []string, settled bool, err error) {
	listed, chosen, err := b.communities.Of(ctx, user)
	if err != nil {
		return nil, false, err
	}
	last, _ := b.chosen.Get(user)
	for _, server := range []string{wanted, chosen, last} {
		if server == "" || settled {
			continue
		}
		if settled, err = b.belongs(ctx, server, user); err != nil {
			return nil, false, err
		}
		if settled {
			found = []string{server}
		} else if server == wanted {
			return nil, false, nil
		}
	}
	if len(listed) == 0 {
		most := mostCandidates
		if settled {
			most = fewCandidates
		}
		if listed, err = b.candidates(ctx, most); err != nil {
			return nil, false, err
		}
	}
	slices.Sort(listed)
	for _, server := range listed {
		if slices.Contains(found, server) || len(found) == maxOptions {
			continue
		}
		in, err := b.belongs(ctx, server, user)
		if err != nil && !settled { // else it is answered, whatever else there may be
			return nil, false, err
		}
		if in && err == nil {
			found = append(found, server)
		}
	}
	return found, settled || len(found) == 1, nil
}

// candidates are the servers in which somebody of whom nothing is known can be, as far
// as they are few enough to look at each. Direct messages all come to the process with
// the first shard, so those of other processes are among them.
func (b *Bot) candidates(ctx context.Context, most int) ([]string, error) {
	refs, err := b.communities.Refs(ctx)
	if err != nil {
		return nil, err
	}
	all := b.servers.some(most)
	for _, ref := range refs {
		if b.servers.elsewhere(ref) {
			all = append(all, ref)
		}
	}
	if len(all) > most {
		return nil, nil
	}
	return all, nil
}

// belongs asks Discord whether somebody is in a server that the bot is in, too. It
// is not remembered for long of a server on another process's shard: when the bot
// leaves that one, only the other process is told.
func (b *Bot) belongs(ctx context.Context, server, user string) (bool, error) {
	elsewhere := b.servers.elsewhere(server)
	if !elsewhere && !b.servers.here(server) {
		return false, nil
	}
	goodFor := belongsFor
	if elsewhere {
		goodFor = strangerFor
	}
	key := server + "/" + user
	if m, known := b.members.Get(key); known && time.Now().Before(m.until) {
		return m.in, nil
	}
	err := b.client.Do(ctx, func(options ...discordgo.RequestOption) error {
		_, err := b.client.Session.GuildMember(server, user, options...)
		return err
	})
	switch {
	case err == nil:
		b.members.Put(key, membership{true, time.Now().Add(goodFor)})
		return true, nil
	case gone(err):
		b.members.Put(key, membership{false, time.Now().Add(strangerFor)})
		return false, nil
	}
	return false, err
}

// title is what a server is called, also one on another process's shard.
func (b *Bot) title(ctx context.Context, server string) string {
	if !b.servers.elsewhere(server) {
		return b.servers.name(server)
	}
	env, err := b.communities.Visit(ctx, server)
	if err != nil {
		return b.servers.name(server)
	}
	settings, err := env.Group.Settings(ctx)
	if err != nil || settings.Name == "" {
		return b.servers.name(server)
	}
	return settings.Name
}

// gone reports whether Discord says that there is no such thing, or none for us.
func gone(err error) bool {
	return api.RefusedAs(err, http.StatusNotFound, http.StatusForbidden)
}

// noneOrSeveral is the answer to somebody who is in none of the groups, or in several:
// then each choice asks in its own.
func (b *Bot) noneOrSeveral(ctx context.Context, found []string, req commands.Request) message {
	p := place{direct: true}
	if len(found) == 0 {
		return b.message(commands.NoServer(ctx, b.noGroup), p, "")
	}
	names := make([]string, len(found))
	for i, server := range found {
		names[i] = b.title(ctx, server)
	}
	m := b.message(commands.WhichGroup(ctx, b.noGroup, names, req), p, "")
	list := component{Type: selectKind, CustomID: string(groupKind), Placeholder: pickLabel}
	for i, server := range found {
		value := b.carry(place{direct: true, server: server}, req, maxSelectText)
		list.Options = append(list.Options, option{Label: label(names[i]), Value: value})
	}
	m.Components = []component{row(list)}
	return m
}
