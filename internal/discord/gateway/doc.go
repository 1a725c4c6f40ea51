// Package gateway keeps a bot connected to Discord's gateway and passes its events on. It knows no command and no word
// of an answer.
//
// Its files:
//
//	gateway      how many shards, which of them here, and running them
//	shard        one connection: opened, watched, resumed or begun anew
//	connection   the network connection under it, which can be watched and cut without discordgo
//	starts       how many more starts Discord allows today
//	identify     shards of a bucket identify one after the other
//	resume       where a lost session is resumed
//	queue        events that are handled one after the other
//	fatal        when trying again is of no use, and what to do about it
//
// It works around three faults of discordgo: its reconnecting is not used; it does not reliably notice a silent
// connection; and it asks for the gateway's address again instead of resuming where Discord says.
package gateway
