package discord

import (
	"context"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/discordtest"
	"holdbench/internal/discord/gateway"
	"holdbench/internal/knowledge"
)

func TestAPanicIsAnApologyToOneAsker(t *testing.T) {
	s := stage(t, discordtest.Options{})
	s.bot.communities.Found = func(context.Context, string, string) (*knowledge.Group, error) { panic("disk on fire") }
	s.start(t)
	s.ready(t)
	got := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "orrick mid 27g 13mm")).Message()
	wantHidden(t, got, true)
	wants(t, got.Text(), "Something went wrong here", "Reference ")
	wants(t, s.log.String(), "disk on fire")
	wants(t, s.srv.Command(s.ada, s.guild, "log").Message().Text(), "Something went wrong here")
	if got := s.srv.Autocomplete(s.ada, s.guild, "hold", "product", "orr").Choices(); len(got) != 1 {
		t.Errorf("suggestions %v", got)
	}
	s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm").Message()
}

func TestUnheardOfDataNeverPanics(t *testing.T) {
	s := stage(t, discordtest.Options{})
	demo := s.bot.communities.Found
	s.bot.communities.Found = func(ctx context.Context, ref, name string) (*knowledge.Group, error) {
		if ref == s.guild.ID {
			return demo(ctx, ref, name)
		}
		// The servers that are made up need no log.
		return s.store.Found(ctx, knowledge.NewCommunity{Ref: ref, Name: name, Zone: "UTC", Ceiling: 10})
	}
	s.start(t)
	s.ready(t)
	s.srv.ExpectViolation("10062") // nobody asked: the stand-in does not know them
	for _, raw := range []string{
		`null`, `[]`, `"x"`, `5`, `{}`, `{`, `{"id":"1"}`, `{"id":1,"token":2,"type":"x","user":{"id":3}}`,
		`{"id":"a1","token":"t","type":1,"user":{"id":"3"}}`,
		`{"id":"a2","token":"t","type":99,"member":{"user":{"id":"3"}}}`,
		`{"id":"a3","token":"t","type":2,"data":null,"user":{"id":"3"}}`,
		`{"id":"a4","token":"t","type":2,"guild_id":"9","data":{"name":5,"options":{"a":1}},"member":{"user":{"id":"3"},"roles":"x","permissions":[]}}`,
		`{"id":"a5","token":"t","type":3,"data":{"custom_id":{},"values":"x"},"message":7,"user":{"id":"3"}}`,
		`{"id":"a6","token":"t","type":3,"data":{"custom_id":"p","component_type":3,"values":[{"a":1},2]},"user":{"id":"3"}}`,
		`{"id":"a7","token":"t","type":3,"data":{"custom_id":"a:hold?A=%"},"guild_id":"9","member":{"user":{"id":"3"}}}`,
		`{"id":"a8","token":"t","type":4,"data":{"name":"hold","options":[{"name":"product","value":{"x":1},"focused":"yes"}]},"user":{"id":"3"}}`,
		`{"id":"a9","token":"t","type":5,"data":{"custom_id":"m:log?","components":[{"type":99,"component":[1,2]},{"type":18,"component":{"type":77,"custom_id":5,"value":{}}},7,null]},"user":{"id":"3"}}`,
		`{"id":"b1","token":"t","type":5,"data":{"custom_id":"zzz","components":"x"},"user":{"id":"3"}}`,
		`{"id":"b2","token":"t","type":2,"data":{"type":3,"name":"Log this test","target_id":"5","resolved":{"messages":[]}},"user":{"id":"3"}}`,
	} {
		for _, kind := range []string{"INTERACTION_CREATE", "MESSAGE_CREATE", "GUILD_CREATE", "GUILD_DELETE",
			"INTEGRATION_CREATE", "GUILD_ROLE_UPDATE"} {
			s.bot.handle(gateway.Source{ID: 0, Count: 1}, &discordgo.Event{Type: kind, RawData: json.RawMessage(raw)},
				time.Now())
		}
	}
	if strings.Contains(s.log.String(), `msg=panic`) || strings.Contains(s.log.String(), "panic:") {
		t.Errorf("a panic in\n%s", s.log)
	}
	s.wantAnswers(t)
}
