package discordtest_test

import (
	"strings"
	"testing"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/discordtest"
)

func TestAttachmentsCarryAltTextAndPicturesMoveIntoTheEmbed(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	channel := s.guild.Channel("general")
	payload := map[string]any{
		"embeds": []any{map[string]any{"title": "Chart", "image": map[string]any{"url": "attachment://chart.png"}}},
		"attachments": []any{
			map[string]any{"id": "0", "filename": "chart.png", "description": "Share of tests against time"},
			map[string]any{"id": 1, "description": "the log"},
		},
	}
	files := []*discordgo.File{
		{Name: "chart.png", ContentType: "image/png", Reader: strings.NewReader("PNG")},
		{Name: "log.csv", ContentType: "text/csv", Reader: strings.NewReader("a,b")},
	}
	m := upload(t, s, "POST", discordgo.EndpointChannelMessages(channel.ID), payload, files)
	if len(m.Attachments) != 1 || m.Attachments[0].Filename != "log.csv" {
		t.Errorf("the message lists %+v", m.Attachments)
	}
	all := channel.Messages(s.ada)
	seen := all[len(all)-1]
	if p := seen.Embeds[0].Image.Attachment; p == nil || p.Description != "Share of tests against time" ||
		string(p.Data) != "PNG" {
		t.Errorf("the embed shows %+v", p)
	}
	if !strings.Contains(seen.Text(), `picture chart.png: "Share of tests against time"`) ||
		!strings.Contains(seen.Text(), `file log.csv: "the log"`) {
		t.Errorf("as text:\n%s", seen.Text())
	}
	// version 9 appends new files to those an edit keeps
	edited := upload(t, s, "PATCH", discordgo.EndpointChannelMessage(channel.ID, m.ID),
		map[string]any{"attachments": []any{map[string]any{"id": m.Attachments[0].ID}}, "embeds": []any{},
			"content": "now"},
		[]*discordgo.File{{Name: "new.csv", Reader: strings.NewReader("c")}})
	if len(edited.Attachments) != 2 {
		t.Errorf("after the edit: %+v", edited.Attachments)
	}
}

// upload sends a message with files.
func upload(t *testing.T, s scene, method, url string, payload any, files []*discordgo.File) *discordgo.Message {
	t.Helper()
	kind, body, err := discordgo.MultipartBodyWithJSON(payload, files)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := s.dg.RequestRaw(method, url, kind, body, url, 0)
	if err != nil {
		t.Fatal(err)
	}
	var m discordgo.Message
	if err := discordgo.Unmarshal(raw, &m); err != nil {
		t.Fatal(err)
	}
	return &m
}

func TestVersionTenDropsFilesAnEditDoesNotList(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	channel := s.guild.Channel("general")
	m := upload(t, s, "POST", discordgo.EndpointChannelMessages(channel.ID), map[string]any{},
		[]*discordgo.File{{Name: "old.csv", Reader: strings.NewReader("c")}})
	s.srv.ExpectViolation("files[0] is not among the attachments")
	url := strings.Replace(discordgo.EndpointChannelMessage(channel.ID, m.ID), "/v9/", "/v10/", 1)
	edited := upload(t, s, "PATCH", url, map[string]any{"attachments": []any{map[string]any{"id": m.Attachments[0].ID}}},
		[]*discordgo.File{{Name: "new.csv", Reader: strings.NewReader("c")}})
	if len(edited.Attachments) != 1 || edited.Attachments[0].Filename != "old.csv" {
		t.Errorf("after the edit: %+v", edited.Attachments)
	}
}
