package config

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/viper"
)

// withoutBlanks removes blanks from a list of numbers given as text, as in "0, 1".
func withoutBlanks(v *viper.Viper, key string) {
	if text, is := v.Get(key).(string); is {
		v.Set(key, strings.ReplaceAll(text, " ", ""))
	}
}

// shardsProblem says what is wrong with discord.shard_ids, "" for nothing. Processes that share the shards must be told
// how many there are, because Discord's advice can change from one start to the next. They must share a store, because
// with two logs each would answer from half of what the group knows.
func (c Config) shardsProblem() string {
	ids, shards := c.Discord.ShardIDs, c.Discord.Shards
	if len(ids) == 0 {
		return ""
	}
	if shards == 0 {
		return "discord.shards is wanted, too: how many there are in all processes together"
	}
	if c.Store.URL == "" {
		return "store.url is wanted, too: what several processes share is in PostgreSQL"
	}
	for i, id := range ids {
		switch {
		case id < 0 || id >= shards:
			return fmt.Sprintf("%d is not within 0 to %d", id, shards-1)
		case slices.Contains(ids[:i], id):
			return fmt.Sprintf("%d is there twice", id)
		}
	}
	return ""
}

// numbers writes a list of numbers as the setting takes it.
func numbers(all []int) string {
	texts := make([]string, len(all))
	for i, n := range all {
		texts[i] = strconv.Itoa(n)
	}
	return strings.Join(texts, ",")
}
