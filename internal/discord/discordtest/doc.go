// Package discordtest is a stand-in for the chat platform, for tests: a real
// HTTP and WebSocket server on loopback that a real client library talks to
// over real sockets. It behaves as the platform's documentation says, holds
// every request to the documented limits, and fails the test when the bot
// breaks one, unless the test said that it would.
//
// # Starting
//
//	srv := discordtest.New(t)                  // ends with the test
//	guild := srv.AddGuild("Needle Bench")      // has an owner and a channel "general"
//	ada := srv.User("ada")
//	guild.Join(ada, guild.Role("trainers", discordtest.ManageGuild))
//
// A bot whose base address can be set is given srv.URL() in place of
// https://discord.com, and srv.Token(). The gateway address is what GET /gateway
// answers. A client whose addresses are fixed takes srv.Transport():
//
//	dg, err := discordgo.New("Bot " + srv.Token())
//	dg.Client = &http.Client{Transport: srv.Transport()}
//
// That touches no global variable, so several stand-ins can serve one process.
// srv.Ready() waits until a bot is connected. discordgo needs care when a test
// breaks the connection at once: wait until Gateway().Heartbeats has risen.
//
// # Acting as a person
//
//	a := srv.Command(ada, guild, "hold", discordtest.Opt("product", "Orrick Mid"), discordtest.Opt("by", 10))
//	m := a.Message()                            // waits; fails the test if none comes
//	m.Ephemeral; m.Embeds[0].Title; m.Text()    // as ada sees it; as text for a transcript
//	a.Latency(); a.Deferred(); a.Complete()     // first answer; a promise only?; the answer itself
//
//	choices := srv.Autocomplete(ada, guild, "hold", "product", "orr").Choices()
//	b := srv.Press(ada, m, "Tests")             // by label or custom_id
//	c := srv.Select(ada, m, "Orrick Deep")      // by label or value
//	form := srv.Command(ada, guild, "log").Modal()
//	d := srv.SubmitModal(ada, form, discordtest.Opt("Time", "0:12.40"))
//	post := srv.Post(ada, guild, discordtest.Post{Text: "Orrick Mid 30G", Files: files})
//	e := srv.MessageCommand(ada, post.Posted(), "Log this test")
//	f := srv.Mention(ada, guild, "orrick mid 30g?")   // answered by a reply to it
//	g := srv.DirectMessage(ada, "orrick mid 30g?")    // answered by the next message there
//	srv.Say(ada, guild, "lunch?").Silence(100 * time.Millisecond)
//	a.Redeliver()                               // the same event once more
//	new := srv.JoinGuild("New", ada); srv.Outage(new); srv.Recover(new); srv.LeaveGuild(new)
//
// A place is a *Guild (its first channel), a *Channel (guild.Channel("name"))
// or a user's DM(). Sub-commands are written "stock add". What a client would
// not let a person do is refused before the bot hears of it (Answer.Err):
// unregistered commands, missing permissions, values outside the declaration,
// disabled buttons. Anyway() among the options sends it all the same. Offered
// tells whether a command shows up. Message, Modal and Choices fail the test
// and belong to its goroutine; Wait, WaitModal and Acknowledged return errors
// and can be used from any.
//
// # Breaking things
//
//	srv.Fault(discordtest.RateLimited(2*time.Second).On("POST", "/channels/*/messages").Times(3))
//	discordtest.GloballyRateLimited(d), Failing(502), Slow(d), Late(d), Dropped(), AnswerLost()
//	srv.Down(); srv.Up()                        // refuse connections; come back
//	srv.ResetToken("other")                     // 401 and 4004 from now on
//	srv.Reconnect(); srv.InvalidateSession(false); srv.CloseGateway(4000); srv.DropGateway()
//	srv.SilenceGateway()                        // open, but nothing comes any more
//	srv.NextConnection(discordtest.ReconnectInsteadOfReady())   // what the next one meets
//	srv.Clock.Advance(15 * time.Minute)         // deadlines, token lives, nonces, windows
//	srv.Gateway()                               // counts: identifies, resumes, heartbeats …
//
// # Rules
//
// Limits, the 3 s deadline, the life of tokens, flags, permissions, rate limits
// and the gateway's protocol are those of the documentation; [Options] has the
// numbers. A breach is answered as the platform would and noted:
//
//	srv.ExpectViolation("content: Must be 2000")   // this one is wanted
//
// Anything the stand-in does not simulate is a violation too, so that silence
// never means "fine". Options.NoPings adds the rule that no message may notify
// anybody who has not agreed (User.AgreeToPings). Refusals that a person can
// cause, through no fault of the bot, are no violations: a deleted message
// (10008), a closed inbox (50007), missing permissions (50013), a second
// delivery (40060).
//
// # The contract
//
// All requests are kept (Requests) and appended to a JSON-lines file if wanted
// (Options.Record, DISCORDTEST_RECORD), without tokens. The package's
//
//	func TestMain(m *testing.M) { os.Exit(discordtest.Main(m)) }
//
// holds every request that the test run made against the platform's published
// OpenAPI document, taken from DISCORD_OPENAPI or this project's testdata; it
// says "skipped" and why where neither is there.
//
// # Reading the code
//
// server.go and call.go take requests in, router.go lists the paths, reply.go
// the answers. form.go reads JSON and collects what is wrong with it; the files
// ending in check hold the rules (limits.go the numbers). user, guild, channel,
// message, interaction and commandrest are the nouns; draft.go makes messages
// of requests. gateway, conn, identify and welcome are the event side. drive,
// drivecomponent, modal, post and joining act as people, offer.go as their
// client; answer.go waits, view.go and render.go show. contract.go stands apart.
//
// Not simulated: messages laid out by components, forms of anything but texts
// and selects, voice, polls, reactions, pins, webhooks of channels, entry
// points, commands of one guild, user installs, transport compression, gateway
// op 8.
package discordtest
