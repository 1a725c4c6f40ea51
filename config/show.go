package config

import (
	"fmt"
	"strconv"
	"strings"
)

// String lists every key with its value and where the value comes from, one a line, secrets as ***.
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

// Attributes lists every key and its value as pairs for the log, secrets as ***.
func (c Config) Attributes() []any {
	var pairs []any
	for _, s := range Settings() {
		pairs = append(pairs, s.Key, strings.Trim(c.value(s.Key), `"`))
	}
	return pairs
}

// IsSet reports whether the file or the environment sets the key.
func (c Config) IsSet(key string) bool { return c.origin[key] != "" && c.origin[key] != "default" }

// value is one setting as text. A key that is missing here prints as unknown and fails TestEveryKeyIsShown.
func (c Config) value(key string) string {
	value, known := map[string]string{
		"store.path":           strconv.Quote(c.Store.Path),
		"store.url":            strconv.Quote(c.Store.URL.String()),
		"community.name":       strconv.Quote(c.Community.Name),
		"community.zone":       c.Community.Zone,
		"hold.ceiling_s":       strconv.FormatFloat(c.Hold.CeilingS, 'g', -1, 64),
		"hold.target_share":    strconv.FormatFloat(c.Hold.TargetShare, 'g', -1, 64),
		"log.level":            c.Log.Level,
		"log.format":           c.Log.Format,
		"inside.listen":        strconv.Quote(c.Inside.Listen),
		"backup.folder":        strconv.Quote(c.Backup.Folder),
		"backup.keep":          strconv.Itoa(c.Backup.Keep),
		"backup.hour":          strconv.Itoa(c.Backup.Hour),
		"backup.recipient":     strconv.Quote(c.Backup.Recipient),
		"discord.token":        c.Discord.Token.String(),
		"discord.token_file":   strconv.Quote(c.Discord.TokenFile),
		"discord.api_base":     c.Discord.APIBase,
		"discord.shards":       strconv.Itoa(c.Discord.Shards),
		"discord.shard_ids":    strconv.Quote(numbers(c.Discord.ShardIDs)),
		"discord.trainer_role": strconv.Quote(c.Discord.TrainerRole),
		"discord.home":         strconv.Quote(c.Discord.Home),
	}[key]
	if !known {
		return "unknown"
	}
	return value
}
