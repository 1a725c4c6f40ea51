// Package discord lets a community ask and log in its Discord servers. It knows
// no rules: what can be asked, who may and every word of an answer come from
// internal/commands. It turns declarations into Discord's menus, interactions
// into Requests, and Cards into messages. Package gateway below it stays connected,
// package api carries requests.
//
// The way through the package, bottom-up:
//
//	payload, upload                          what goes along with a request
//	escape, embed, buttons, message          a Card as a message, within Discord's limits
//	customid                                 a Request behind a button
//	workqueue, inflight, event               bounded work in turns, work that is finished before the end, events
//	interaction, asker, turn, respond        one interaction and its three seconds
//	unconfirmed                              what was stored and whose answer was lost
//	chatcommand, autocomplete, component, form, postcommand   the kinds of interaction
//	chat, membership                         mentions, direct messages, and whose group they are about
//	declare, register                        Discord's menus from the declarations
//	servers, joining, welcome                joining and leaving
//	poster, posted                           what is said unasked, and whether it was said before
//	bot, ending, check                       starting, ending, and whether all is well
//
// The library's known faults are met where they arise: those of its gateway loop in
// package gateway; its rate buckets, which interaction answers do not go through, and
// the limit over all requests, which it does not know, in package api; its events only
// start work here (event); and interactions are decoded here (interaction, with
// api.Node), because it gives up on parts that it does not know.
package discord
