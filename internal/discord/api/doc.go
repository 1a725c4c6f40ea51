// Package api makes requests to Discord's HTTP API and parses the answers. It knows the platform's limits on requests,
// and nothing of what they are about.
//
// Its files:
//
//	endpoints   where requests go: Discord itself, a proxy, a stand-in
//	token       the bot's token, and removing tokens from errors and texts
//	node        JSON from outside
//	refusal     Discord's error answers
//	limit       the limit over all requests
//	body        JSON bodies, and bodies with files
//	file        fetching what members attach
//	replies     answers to interactions, which bypass discordgo's rate limits
//	client      all other requests, through discordgo
package api
