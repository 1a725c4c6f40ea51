package discord

import (
	"errors"
	"strings"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
)

func TestNothingSecretIsInTheLog(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.srv.ExpectViolation("did not respond")
	s.srv.Fault(discordtest.Dropped().Times(-1))
	s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "orrick mid 27g 13mm"))
	s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm")
	time.Sleep(3200 * time.Millisecond)
	s.srv.ClearFaults()
	text := s.log.String()
	wants(t, text, "did not get through")
	if strings.Contains(text, s.srv.Token()) {
		t.Errorf("the bot's token is in\n%s", text)
	}
	for _, line := range strings.Split(text, "\n") {
		if i := strings.Index(line, "/interactions/"); i >= 0 && !strings.Contains(line[i:], "***") {
			t.Errorf("an interaction's token is in %s", line)
		}
	}
}

func TestTokensAreTakenOutOfTexts(t *testing.T) {
	b := looseBot(t)
	for text, want := range map[string]string{
		`Post "https://discord.com/api/v10/interactions/12/aW50ZXI.tok-en_/callback": EOF`: `Post "https://discord.com/api/v10/interactions/12/***/callback": EOF`,
		`Patch "https://x/api/v10/webhooks/12/tok/messages/@original": EOF`:                `Patch "https://x/api/v10/webhooks/12/***/messages/@original": EOF`,
		"a.token.of.nobody was refused":                                                    "*** was refused",
		"authorization: Bot MTIzNDU2Nzg5MDEy.Gabc-1.d_ef end": "authorization: Bot *** " +
			"end",
		"set it to the bot token of the Bot page": "set it to the bot " +
			"token of the Bot page",
		`{"token":"MTIzNDU2Nzg5MDEy.Gabc.def","x":1}`: `{"token":"***","x":1}`,
		"nothing here": "nothing here",
	} {
		if got := b.client.Token.Redact(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
	cause := errors.New("of a.token.of.nobody")
	if err := b.loggable(cause); !errors.Is(err, cause) || strings.Contains(err.Error(), "nobody") {
		t.Errorf("%v", err)
	}
	if b.loggable(nil) != nil {
		t.Error("an error of nothing")
	}
}
