// Package gateway keeps a bot connected to Discord's gateway and hands on what it tells. It knows no command and no
// word of an answer.
//
// The way through the package:
//
//	gateway      how many shards, which of them here, and running them
//	shard        one connection: opened, watched, resumed or begun anew
//	connection   the network under it: when it was last heard, cut without asking the library
//	starts       how many more starts Discord allows today
//	identify     shards of a bucket identify one after the other
//	resume       where a lost session is taken up again
//	queue        what has to be done in the order it was told
//	fatal        when trying again is of no use, and what to do about it
//
// The library's known faults are met here: it is not left to reconnect by itself, nor trusted to notice that nothing
// comes any more; and it would ask again where the gateway is instead of resuming where Discord says.
package gateway
