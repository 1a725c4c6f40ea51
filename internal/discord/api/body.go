package api

import (
	"bytes"
	"encoding/json"

	"github.com/bwmarrin/discordgo"
)

// File is a file of a message.
type File struct {
	Name, Type string
	Data       []byte
}

// encode returns a body and its content type: JSON, or with files a multipart form.
func encode(body any, files []File) (contentType string, data []byte, err error) {
	if len(files) == 0 {
		data, err = json.Marshal(body)
		return "application/json", data, err
	}
	parts := make([]*discordgo.File, len(files))
	for i, f := range files {
		parts[i] = &discordgo.File{Name: f.Name, ContentType: f.Type, Reader: bytes.NewReader(f.Data)}
	}
	return discordgo.MultipartBodyWithJSON(body, parts)
}
