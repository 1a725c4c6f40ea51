// Package discord lets a community ask and log in its Discord server. It knows
// no rules: what can be asked, who may and every word of an answer come from
// internal/commands. It turns declarations into Discord's commands, interactions
// into Requests, and Cards into messages; and it stays connected.
//
// The way through the package, bottom-up:
//
//	payload, upload        what goes over the wire
//	escape, clip, embed, buttons, message   a Card as a message, within Discord's limits
//	customid, memory       a Request behind a button
//	endpoints, redact, wire, pace, rest     HTTP: where to, nothing secret in the log, retries, rates
//	line, gate, resume, shard, fleet        the gateway: watchdog, one IDENTIFY at a time, shards
//	lane, event            bounded handlers that recover
//	interaction, asker, turn                one interaction and its three seconds
//	chatcommand, autocomplete, press, form, postcommand   the kinds of interaction
//	chat, home             mentions and direct messages
//	declare, register      Discord's menus from the declarations
//	servers, check         joining, leaving, and whether all is well
//
// The library's known faults are met where they arise: its gateway loop is not
// left to reconnect by itself (shard), interaction answers do not go through its
// rate buckets (wire), its handlers neither run unbounded nor unrecovered
// (event), and interactions are decoded here (interaction), because it gives up
// on parts it does not know.
package discord
