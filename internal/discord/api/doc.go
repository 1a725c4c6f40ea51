// Package api carries requests to Discord's HTTP interface and reads what comes back. It knows the platform's limits on
// requests and nothing of what is said.
//
// The way through the package:
//
//	endpoints   where requests go: Discord's own interface, a proxy, a stand-in
//	token       the bot's token, and errors and texts without it
//	node        JSON read without trust
//	refusal     what Discord answers to a request that it does not carry out
//	limit       the limit over all requests
//	body        JSON bodies, and bodies with files
//	replies     answers to interactions, past the library's rate buckets
//	client      all other requests, through the library
package api
