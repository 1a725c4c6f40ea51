// Package discord answers in Discord servers. It knows no rules: what can be asked, who may ask it and every word of an
// answer come from internal/commands. It turns declarations into Discord's menus, interactions into Requests, and Cards
// into messages. Package gateway below it stays connected, package api makes requests.
//
// Its files, bottom-up:
//
//	payload, upload                          the JSON and the files of a message
//	escape, embed, buttons, message          a Card as a message, within Discord's limits
//	customid                                 a Request behind a button
//	workqueue, inflight, event               bounded work in turns, work to finish before the end, events
//	interaction, asker, turn, respond        one interaction and its three seconds
//	unconfirmed                              what was stored although its answer was lost
//	renew, source                            answers and messages that are edited later
//	chatcommand, autocomplete, component, form, postcommand, emergency   the kinds of interaction
//	chat, membership, directgroup            mentions, direct messages, and which group they are about
//	declare, language, register              Discord's menus from the declarations
//	servers, joining, permissions, welcome   joining and leaving
//	poster, posted                           unasked posts, and whether one was posted before
//	bot, ending, check, observe              starting, ending, and the bot's state
//
// Faults of discordgo are worked around where they arise: those of its gateway loop in package gateway; in package
// api its rate buckets, which interaction answers bypass, and the limit over all requests, which it does not know.
// Its events only start work here (event). Interactions are decoded here (interaction, with api.Node), because it
// gives up on parts that it does not know.
package discord
