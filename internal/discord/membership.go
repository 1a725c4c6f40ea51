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

// A direct message does not say which group it is about. It is one whose server the asker is in, as Discord says now:
// somebody who has left gets no answers.

const (
	belongsFor  = 10 * time.Minute // how long to remember that somebody is in a server
	strangerFor = 30 * time.Second // how long to remember that somebody is not

	mostCandidates = 20 // how many servers to ask about somebody who is on no list of members
	fewCandidates  = 5  // the same, if it is settled which group answers
)

// membership says whether somebody is in a server, as Discord last said.
type membership struct {
	in    bool
	until time.Time // after that Discord is asked again
}

// serversOf finds the servers whose group a direct message can be about. settled says that the first of them is the
// one: the wanted one, else the one that the asker has chosen, else the one asked last, else the only one.
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
		if err != nil && !settled { // if it is settled, the others matter less than an answer
			return nil, false, err
		}
		if in && err == nil {
			found = append(found, server)
		}
	}
	return found, settled || len(found) == 1, nil
}

// candidates returns the servers in which somebody who is on no list of members may be, or none if there are more than
// most. Servers of other processes are among them, because all direct messages go to the process with the first shard.
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

// belongs asks Discord whether somebody is in a server of the bot's. For a server of another process the answer is not
// remembered for long, because only that process is told when the bot leaves it.
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

// title is a server's name, also if it is on another process's shard.
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

// gone reports whether Discord says that something does not exist, or that the bot has no access to it.
func gone(err error) bool {
	return api.RefusedAs(err, http.StatusNotFound, http.StatusForbidden)
}

// noneOrSeveral is the answer to somebody who is in none of the groups, or in several: then each choice asks another
// one.
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
		list.Options = append(list.Options, option{Label: label(names[i], maxButtonLabel), Value: value})
	}
	m.Components = []component{row(list)}
	return m
}
