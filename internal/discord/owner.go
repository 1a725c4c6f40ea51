package discord

// Owner is who owns a server, by id: a trainer of its group, whoever else is one; ""
// where the bot is not in it.
func (b *Bot) Owner(server string) string {
	b.servers.mu.Lock()
	defer b.servers.mu.Unlock()
	if one := b.servers.in[server]; one != nil {
		return one.owner
	}
	return ""
}
