package discordtest

import "strconv"

// Permission is a set of the platform's permission bits (topics/permissions).
type Permission uint64

// The permissions a chat bot meets.
const (
	Administrator       Permission = 1 << 3
	ManageGuild         Permission = 1 << 5
	ViewChannel         Permission = 1 << 10
	SendMessages        Permission = 1 << 11
	EmbedLinks          Permission = 1 << 14
	AttachFiles         Permission = 1 << 15
	ReadMessageHistory  Permission = 1 << 16
	MentionEveryone     Permission = 1 << 17
	ManageRoles         Permission = 1 << 28
	UseCommands         Permission = 1 << 31
	CreatePublicThreads Permission = 1 << 35
	SendInThreads       Permission = 1 << 38
	everything          Permission = 1<<53 - 1
)

// memberDefault is what an invented server lets everybody do; botDefault is
// what the bot's own role adds unless the test says otherwise.
const (
	memberDefault = ViewChannel | SendMessages | EmbedLinks | AttachFiles | ReadMessageHistory |
		UseCommands | CreatePublicThreads | SendInThreads
	botDefault = ViewChannel | SendMessages | EmbedLinks | AttachFiles | ReadMessageHistory | SendInThreads
	dmDefault  = botDefault | MentionEveryone
)

// Has tells whether all bits of want are in p; an administrator has all.
func (p Permission) Has(want Permission) bool {
	return p&Administrator != 0 || p&want == want
}

// String is the set as the platform writes it.
func (p Permission) String() string { return strconv.FormatUint(uint64(p), 10) }

// Role is a role of a guild.
type Role struct {
	ID, Name    string
	Permissions Permission

	managed bool // the bot's own
}

func (r *Role) json(position int) object {
	return object{
		"id": r.ID, "name": r.Name, "permissions": r.Permissions.String(), "position": position,
		"color": 0, "hoist": false, "managed": r.managed, "mentionable": false, "flags": 0,
	}
}
