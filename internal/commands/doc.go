// Package commands is what the bot can be asked, whatever the surface: each
// command declares itself, takes a Request and gives back a Card. Answer is the
// one way in; it finds the command, checks who asks and what was typed, runs it,
// turns errors into Cards and adds the caveats.
package commands
