package discord

import (
	"bytes"
	"encoding/json"

	"github.com/bwmarrin/discordgo"
)

// file is what goes along with a message.
type file struct {
	name, kind string
	data       []byte
}

// encode is a body and its content type: JSON, or with a file a form of parts.
func encode(body any, f *file) (contentType string, data []byte, err error) {
	if f == nil {
		data, err = json.Marshal(body)
		return "application/json", data, err
	}
	return discordgo.MultipartBodyWithJSON(body, []*discordgo.File{{Name: f.name, ContentType: f.kind, Reader: bytes.NewReader(f.data)}})
}
