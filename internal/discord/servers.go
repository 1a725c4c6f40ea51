package discord

import (
	"slices"
	"strings"
	"sync"

	"holdbench/internal/cache"
	"holdbench/internal/discord/api"
)

// servers are the servers that the bot is in: little more than their names.
type servers struct {
	mu         sync.Mutex
	in         map[string]*server
	shards     int                          // in all processes together
	own        []int                        // those of this process; nil before that is known
	installers *cache.Cache[string, string] // who brought the bot to a server
	told       *sync.Cond                   // something was noted
	listed     chan struct{}                // closed when a shard's servers are known
}

type server struct {
	name, owner string
	trainerRole string // by the name that is set for all servers
}

func newServers() *servers {
	s := &servers{in: map[string]*server{}, installers: kept[string](1000), listed: make(chan struct{})}
	s.told = sync.NewCond(&s.mu)
	return s
}

// expect notes how many shards there will be, and which of them are here.
func (s *servers) expect(shards int, own []int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.shards, s.own = shards, own
}

// elsewhere reports whether a server, if the bot is in it, is on a shard of another
// process.
func (s *servers) elsewhere(id string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return isID(id) && len(s.own) > 0 && !slices.Contains(s.own, shardOf(id, s.shards))
}

// at is the server with that id, made if it is not there. The lock is held.
func (s *servers) at(id string) *server {
	if s.in[id] == nil {
		s.in[id] = &server{}
	}
	return s.in[id]
}

// here reports whether the bot is in a server.
func (s *servers) here(id string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.in[id] != nil
}

// name is what a server is called.
func (s *servers) name(id string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	if one := s.in[id]; one != nil && one.name != "" {
		return one.name
	}
	return "server " + id
}

// trainerRole is the id of the role that has the trainers' name in a server, ""
// for none.
func (s *servers) trainerRole(id string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	if one := s.in[id]; one != nil {
		return one.trainerRole
	}
	return ""
}

// some are up to so many servers; none if there are more.
func (s *servers) some(most int) []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.in) > most {
		return nil
	}
	var ids []string
	for id := range s.in {
		ids = append(ids, id)
	}
	return ids
}

// alone reports whether a server is the only one that the bot is in, as far as
// can be told: with several shards it cannot.
func (s *servers) alone(id string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.shards == 1 && len(s.in) == 1 && s.in[id] != nil
}

// list makes the servers of a shard those that Discord lists.
func (s *servers) list(shard, count int, ids []string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for id := range s.in {
		if shardOf(id, count) == shard {
			delete(s.in, id)
		}
	}
	for _, id := range ids {
		s.at(id)
	}
	select {
	case <-s.listed: // known since an earlier READY
	default:
		close(s.listed)
	}
}

// enter notes what a server is like.
func (s *servers) enter(id string, n api.Node, trainers string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	one := s.at(id)
	one.name, one.owner = plain(n.At("name").Text(), 100), n.At("owner_id").Text()
	for _, role := range n.At("roles").Items() {
		one.note(role, trainers)
	}
	s.told.Broadcast()
}

// exit notes that the bot is out of a server.
func (s *servers) exit(id string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.in, id)
}

// installedBy notes who brought the bot to a server.
func (s *servers) installedBy(id, user string) {
	s.installers.Put(id, user)
	s.mu.Lock()
	defer s.mu.Unlock()
	s.told.Broadcast()
}

// note takes the trainers' role from a role. The lock is held.
func (one *server) note(role api.Node, trainers string) {
	id, name := role.At("id").Text(), role.At("name").Text()
	switch {
	case trainers != "" && (id == trainers || strings.EqualFold(strings.TrimSpace(name), strings.TrimSpace(trainers))):
		one.trainerRole = id
	case id == one.trainerRole:
		one.trainerRole = "" // it has another name now
	}
}

// role notes a role that was made or changed.
func (s *servers) role(n api.Node, trainers string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if one := s.in[n.At("guild_id").Text()]; one != nil {
		one.note(n.At("role"), trainers)
	}
}

// Serves reports whether the bot is in a server, on one of this process's shards.
func (b *Bot) Serves(server string) bool { return b.servers.here(server) }

// Listed is closed when Discord has first told which servers the bot is in.
func (b *Bot) Listed() <-chan struct{} { return b.servers.listed }
