package main

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

func TestTheWeeklyPromptIsPostedOnceAndItsButtonsWork(t *testing.T) {
	h := newHall(t)
	h.ada.AgreeToPings()
	wants(t, h.asks(h.ada, "me choices", discordtest.Opt("mentions", true)).Text(), "be mentioned in reminders")
	for _, u := range []*discordtest.User{h.ada, h.bea} { // Bea uses it too and has agreed to nothing
		wants(t, h.asks(u, "stock add", text("Dunmere Deep 30G 4 mm")).Text(), "Dunmere Deep, 30G 4 mm needle")
	}
	h.tick(t)
	h.tick(t)
	h.servers.runner(h.now, h.log).Tick(t.Context()) // another program on the same file
	h.pass(time.Hour)
	h.tick(t)
	h.quiet(t)
	prompts := h.prompts()
	if len(prompts) != 1 {
		t.Fatalf("%d prompts", len(prompts))
	}
	prompt := prompts[0]
	wants(t, prompt.Text(), "Worth a test this week", "Dunmere Deep, 30G 4 mm needle",
		"‹Take one on: ", "[all that is worth a test]", "outside a vessel",
		"Bench liquid only")
	if !slices.Equal(prompt.Notified, []string{"@ada"}) || prompt.Content != h.ada.Mention() {
		t.Errorf("notifies %v by %q", prompt.Notified, prompt.Content)
	}
	taken := h.srv.Select(h.bea, prompt, "Dunmere Deep, 30G 4 mm needle").Message()
	wants(t, taken.Text(), "(only you see this)", "Yours to test until", "[log a test of it]")
	edited := func() string { return h.prompts()[0].Text() }
	for end := time.Now().Add(20 * time.Second); !strings.Contains(edited(), "taken on by bea"); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("the prompt does not say who has it: %s", edited())
		}
	}
	wants(t, edited(), "Worth a test this week", "outside a vessel", "Bench liquid only")
	late := h.asks(h.ada, "totest take", text("Dunmere Deep 30G 4 mm")) // the list has it no more
	wants(t, late.Text(), "(only you see this)", "bea has taken it on")
	wants(t, h.srv.Press(h.ada, prompt, "all that is worth a test").Message().Text(), "(only you see this)")
	h.pass(7 * 24 * time.Hour)
	h.tick(t)
	if len(h.prompts()) != 2 {
		t.Errorf("%d prompts in two weeks", len(h.prompts()))
	}
}

func TestAfterACrashBetweenPostAndNoteNothingIsPostedTwice(t *testing.T) {
	h := newHall(t)
	r := h.servers.runner(h.now, h.log)
	r.Poster = crashing{r.Poster}
	r.Tick(t.Context())
	wants(t, h.told.String(), "the program ends here")
	h.asks(h.ada, "hold", text("orrick mid 27g 13mm"))
	h.srv.Mention(h.ada, h.guild, "orrick mid 27g 13mm").Message() // more from the bot in the channel
	looked := func() int { return len(h.srv.Requests("GET", "/channels/*/messages")) }
	h.pass(11 * time.Minute) // the claim is free again, the nonce forgotten
	h.tick(t)
	if looked() != 1 {
		t.Errorf("looked %d times", looked())
	}
	h.pass(11 * time.Minute)
	h.tick(t)
	posted := 0
	for _, m := range h.prompts() {
		if strings.Contains(m.Text(), "Worth a test this week") {
			posted++
		}
	}
	if posted != 1 || looked() != 1 {
		t.Errorf("%d prompts; looked %d times, want once", posted, looked())
	}
}

func TestAPromptThatMayNotBePostedComesWhenItMay(t *testing.T) {
	h := newHall(t)
	h.guild.Everyone(discordtest.ViewChannel | discordtest.UseCommands)
	h.guild.BotPermissions(discordtest.ViewChannel)
	h.tick(t)
	h.pass(5 * time.Minute)
	h.tick(t)
	if n := len(h.prompts()); n != 0 {
		t.Fatalf("%d prompts without the right to post", n)
	}
	wants(t, h.told.String(), "the trainers are told in private", "Missing Permissions")
	if n := strings.Count(h.told.String(), "Missing Permissions"); n != 1 {
		t.Errorf("told to the log %d times", n)
	}
	said := h.private(h.guild.Owner)
	if len(said) != 1 {
		t.Fatalf("%d messages to the trainer", len(said))
	}
	wants(t, said[0].Text(), "Reminders and the coverage message cannot be posted there",
		"/trainer settings reminders")
	h.guild.BotPermissions(discordtest.ViewChannel | discordtest.SendMessages | discordtest.EmbedLinks | discordtest.ReadMessageHistory)
	h.pass(5 * time.Minute)
	h.tick(t)
	h.tick(t)
	if n := len(h.prompts()); n != 1 {
		t.Errorf("%d prompts with it", n)
	}
}

func TestAChannelThatIsGoneIsToldToTheTrainerOnceAndAnotherTakesThePrompt(t *testing.T) {
	h := newHall(t)
	post := func(channel string) {
		if err := h.group(t).UpdateSettings(t.Context(), func(to *knowledge.Settings) error { to.ReminderChannel = channel; return nil }); err != nil {
			t.Fatal(err)
		}
	}
	post("400000000000000009") // as if it had been deleted
	h.tick(t)
	h.pass(5 * time.Minute)
	h.tick(t)
	h.quiet(t)
	if n := len(h.private(h.guild.Owner)); n != 1 ||
		strings.Count(h.told.String(), "the trainers are told in private") != 1 {
		t.Errorf("%d messages to the trainer; told %s", n, h.told)
	}
	post(h.guild.Channel("general").ID)
	h.pass(5 * time.Minute)
	h.tick(t)
	if n := len(h.prompts()); n != 1 {
		t.Errorf("%d prompts in the other channel", n)
	}
}

func TestAClaimIsRemindedOfInPrivateAndItsButtonsWork(t *testing.T) {
	h := newHall(t)
	wants(t, h.asks(h.ada, "totest take", text("orrick mid 31G 8 mm"), discordtest.Opt("by", "tomorrow")).Text(),
		"Yours to test until")
	h.tick(t)
	h.tick(t)
	h.quiet(t)
	got := h.private(h.ada)
	if len(got) != 1 {
		t.Fatalf("%d messages to Ada", len(got))
	}
	wants(t, got[0].Text(), "You have taken on a test", "Orrick Mid, 31G 8 mm needle",
		"until "+h.today().AddDate(0, 0, 1).Format("2006-01-02"), "Bench liquid only")
	if n := len(h.private(h.bea)) + len(h.private(h.tess)); n != 0 {
		t.Errorf("%d messages to others", n)
	}
	wants(t, h.srv.Press(h.ada, got[0], "log a test of Orrick Mid, 31G 8 mm needle").Modal().Text(),
		"Gel *: Orrick Mid", "31G 8 mm needle")
	wants(t, h.srv.Press(h.ada, got[0], "give up Orrick Mid, 31G 8 mm needle").Message().Text(),
		"Orrick Mid, 31G 8 mm needle", "Free for others again")
}

func TestAClosedInboxIsLeftInPeace(t *testing.T) {
	h := newHall(t)
	h.asks(h.ada, "totest take", text("orrick mid 31G 8 mm"), discordtest.Opt("by", "tomorrow"))
	h.ada.CloseDMs()
	h.tick(t)
	wants(t, h.told.String(), "a post can never be delivered", "claim reminder")
	tries := len(h.srv.Requests("POST", "/channels/"+h.ada.DM().ID+"/messages"))
	for range 3 {
		h.pass(15 * time.Minute)
		h.tick(t)
	}
	if again := len(h.srv.Requests("POST", "/channels/"+h.ada.DM().ID+"/messages")); tries != 1 || again != 1 {
		t.Errorf("tried %d times, then %d", tries, again)
	}
	h.quiet(t)
}

func TestWhoeverAskedAndAgreedIsToldOfANewVerdict(t *testing.T) {
	h := newHall(t)
	wants(t, h.asks(h.ada, "me choices", discordtest.Opt("verdicts", true)).Text(), "be told when a verdict changes")
	for _, u := range []*discordtest.User{h.ada, h.bea} { // Bea asks and has not agreed
		wants(t, h.asks(u, "hold", text("orrick mid 31g 8mm")).Text(), "UNTESTED")
	}
	g, day := h.group(t), h.today().Format("2006-01-02")
	for i := range 8 {
		if _, err := g.LogTest(t.Context(), knowledge.BenchTest{
			Combination: orrickMid31(t, g), TestedOn: day, Tester: knowledge.Member{Ref: "osier"}, Liquid: "whole milk",
			LiquidC: 20,
			PullML:  0.1, WatchedS: 30, Outcome: knowledge.Flashback, Seconds: 3 + 0.1*float64(i),
			Timing: "video 30 fps",
		}); err != nil {
			t.Fatal(err)
		}
	}
	h.tick(t)
	h.tick(t)
	h.quiet(t)
	got := h.private(h.ada)
	if len(got) != 1 || len(h.private(h.bea)) != 0 {
		t.Fatalf("%d messages to Ada, %d to Bea", len(got), len(h.private(h.bea)))
	}
	wants(t, got[0].Text(), "New tests changed an answer that you asked for", "Orrick Mid, 31G 8 mm needle",
		"was untested, now “")
	wants(t, h.srv.Press(h.ada, got[0], "the hold of Orrick Mid, 31G 8 mm needle").Message().Text(),
		"8 tests by 1 member")
}

func orrickMid31(t *testing.T, g *knowledge.Group) trade.Combination {
	t.Helper()
	v, err := g.Vocabulary(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	product, _ := v.Product("Orrick Mid")
	i, err := trade.ReadInstrument("31G 8 mm needle")
	if err != nil {
		t.Fatal(err)
	}
	return trade.Combination{Product: product, Instrument: i}
}

// What was due while the program was off comes when it starts; a post in hand at
// the end is finished and noted, in time.
func TestTheProgramPostsAtItsStartAndFinishesWhatIsInHandAtItsEnd(t *testing.T) {
	t.Parallel()
	srv, guild, _, environ := platform(t)
	tess := srv.User("tess")
	guild.Join(tess, guild.Role("staff", discordtest.ManageGuild))
	environ = append(environ, "HOLDBENCH_STORE_PATH="+filepath.Join(t.TempDir(), "our.db"),
		"HOLDBENCH_COMMUNITY_ZONE="+noonZone())
	for _, kind := range []string{"products", "instruments", "members", "stock", "tests"} {
		mustRun(t, environ, "", "import", kind, demoFile(kind))
	}
	zone, err := time.LoadLocation(noonZone())
	if err != nil {
		t.Fatal(err)
	}
	p := startProgram(t, environ)
	offered(t, srv, tess, guild)
	srv.Command(tess, guild, "trainer settings", discordtest.Opt("reminders", guild.Channel("general")),
		discordtest.Opt("day", time.Now().In(zone).Weekday().String()), discordtest.Opt("hour", 0)).Message()
	p.terminate(t)
	count := func() (n int) {
		for _, m := range guild.Channel("general").Messages(tess) {
			if strings.Contains(m.Text(), "Worth a test this week") {
				n++
			}
		}
		return n
	}
	if count() != 0 {
		t.Fatal("posted before it was set")
	}
	srv.Fault(discordtest.Late(2*time.Second).On("POST", "/channels/*/messages"))
	p = startProgram(t, environ)
	posts := func() int { return len(srv.Requests("POST", "/channels/"+guild.Channel("general").ID+"/messages")) }
	for end := time.Now().Add(20 * time.Second); posts() == 0; time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("posts nothing")
		}
	}
	out := p.terminate(t)
	if count() != 1 || strings.Contains(out, "level=ERROR") {
		t.Fatalf("%d prompts after the end", count())
	}
	p = startProgram(t, append(environ, toBeSeen))
	offered(t, srv, tess, guild)
	time.Sleep(500 * time.Millisecond)
	eventually(t, p.address(t)+"/metrics", "holdbench_prompt_age_seconds ")
	p.terminate(t)
	if count() != 1 {
		t.Errorf("%d prompts after another start", count())
	}
}
