// Package discord lets a community ask and log in its Discord servers. It knows
// no rules: what can be asked, who may and every word of an answer come from
// internal/commands. It turns declarations into Discord's menus, interactions
// into Requests, and Cards into messages; and it stays connected.
//
// The way through the package, bottom-up:
//
//	payload, upload, node                  what goes over the wire, and what comes
//	escape, embed, buttons, message        a Card as a message, within Discord's limits
//	customid, memory                       a Request behind a button
//	endpoints, redact, wire, pace, rest    HTTP: where to, nothing secret in the log, retries, rates
//	line, gate, resume, shard, fleet, fatal   the gateway: watchdog, one IDENTIFY at a time, shards, when to give up
//	lane, queue, event                     bounded handlers that recover, changes in their order
//	interaction, asker, turn, give         one interaction and its three seconds
//	chatcommand, hint, press, form, postcommand   the kinds of interaction
//	chat, home                             mentions, direct messages, and whose group they are about
//	declare, register                      Discord's menus from the declarations
//	servers, joining, welcome              joining and leaving
//	poster, find                           what is said unasked, and whether it was said before
//	bot, check                             starting, ending, and whether all is well
//
// The library's known faults are met where they arise: its gateway loop is not
// left to reconnect by itself, nor trusted to notice that it is deaf (shard,
// line); sessions are resumed where Discord says (resume); interaction answers do
// not go through its rate buckets (wire); the limit over all requests, which it
// does not know, is kept (pace); its events only put work in line (event); and
// interactions are decoded here (node), because it gives up on parts that it
// does not know.
package discord
