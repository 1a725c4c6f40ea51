package config

import (
	"fmt"
	"strconv"
	"strings"
)

// String lists every key with the value in force and where it came from, one a
// line, secrets as ***.
func (c Config) String() string {
	var b strings.Builder
	for _, s := range Settings() {
		value := c.value(s.Key)
		if s.Unit != "" {
			value += " " + s.Unit
		}
		fmt.Fprintf(&b, "%-20s %-30s %s\n", s.Key, value, c.origin[s.Key])
	}
	return b.String()
}

// Attributes are the same as pairs for the log, secrets as ***.
func (c Config) Attributes() []any {
	var pairs []any
	for _, s := range Settings() {
		pairs = append(pairs, s.Key, strings.Trim(c.value(s.Key), `"`))
	}
	return pairs
}

// IsSet reports whether the file or the environment sets the key.
func (c Config) IsSet(key string) bool { return c.origin[key] != "" && c.origin[key] != "default" }

// value is one setting as text. A key without a case here prints as unknown and
// fails TestEveryKeyIsShown.
func (c Config) value(key string) string {
	switch key {
	case "store.path":
		return strconv.Quote(c.Store.Path)
	case "store.url":
		return strconv.Quote(c.Store.URL.String())
	case "community.name":
		return strconv.Quote(c.Community.Name)
	case "community.zone":
		return c.Community.Zone
	case "hold.ceiling_s":
		return strconv.FormatFloat(c.Hold.CeilingS, 'g', -1, 64)
	case "hold.target_share":
		return strconv.FormatFloat(c.Hold.TargetShare, 'g', -1, 64)
	case "log.level":
		return c.Log.Level
	case "log.format":
		return c.Log.Format
	case "inside.listen":
		return strconv.Quote(c.Inside.Listen)
	case "backup.folder":
		return strconv.Quote(c.Backup.Folder)
	case "backup.keep":
		return strconv.Itoa(c.Backup.Keep)
	case "backup.hour":
		return strconv.Itoa(c.Backup.Hour)
	case "backup.recipient":
		return strconv.Quote(c.Backup.Recipient)
	case "discord.token":
		return c.Discord.Token.String()
	case "discord.token_file":
		return strconv.Quote(c.Discord.TokenFile)
	case "discord.api_base":
		return c.Discord.APIBase
	case "discord.shards":
		return strconv.Itoa(c.Discord.Shards)
	case "discord.shard_ids":
		return strconv.Quote(numbers(c.Discord.ShardIDs))
	case "discord.trainer_role":
		return strconv.Quote(c.Discord.TrainerRole)
	case "discord.home":
		return strconv.Quote(c.Discord.Home)
	}
	return "unknown"
}
