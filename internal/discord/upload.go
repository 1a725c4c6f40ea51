package discord

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"path"
	"strings"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
)

// file is what goes along with a message.
type file struct {
	name, kind string
	shown      bool   // as the picture of the message
	alt        string // what it shows
	data       []byte
}

// What Discord takes of files (reference, uploading files). Interactions may say
// another size.
const (
	maxFile   = 10 << 20 // bytes of one
	maxFiles  = 10
	maxUpload = 24 << 20 // bytes of all: 25 MiB a request, less what else is in it
)

// heavy is how much may go along with a first answer.
const heavy = 256 << 10

// weight is how many bytes of files go along with a message.
func (m message) weight() int {
	n := 0
	for _, f := range m.files {
		n += len(f.data)
	}
	return n
}

// parts are files as they go along with a request.
func parts(files []file) []api.File {
	all := make([]api.File, len(files))
	for i, f := range files {
		all[i] = api.File{Name: f.name, Type: f.kind, Data: f.data}
	}
	return all
}

// uploads are a Card's picture, if it has one, and its files, and the Card with a
// word on each that does not go as it is. A file of more than largest bytes goes
// compressed if that helps.
func uploads(card commands.Card, largest int) (commands.Card, []file) {
	var files []file
	room := maxUpload
	if p := card.Picture; p != nil && len(p.PNG) > 0 {
		files = append(files, file{name: fileName(p.Name, ".png"), kind: "image/png", shown: true, alt: plain(p.Alt, maxAlt), data: p.PNG})
		room -= len(p.PNG)
	}
	var packed, left []string
	for _, f := range card.Files {
		most := min(largest, room)
		one := file{name: unlike(files, fileName(f.Name, "")), kind: f.Type, data: f.Data}
		if len(one.data) > most {
			if one = compressed(one); len(one.data) <= most {
				packed = append(packed, one.name)
			}
		}
		if len(one.data) > most || len(files) == maxFiles {
			left = append(left, f.Name)
			continue
		}
		files = append(files, one)
		room -= len(one.data)
	}
	card.Facts = append(card.Facts[:len(card.Facts):len(card.Facts)], packedWords(packed)...)
	card.Warnings = append(card.Warnings[:len(card.Warnings):len(card.Warnings)], leftWords(left)...)
	return card, files
}

func packedWords(names []string) []commands.Fact {
	if len(names) == 0 {
		return nil
	}
	return []commands.Fact{{Text: "Compressed, being large: " + strings.Join(names, ", ")}}
}

func leftWords(names []string) []string {
	if len(names) == 0 {
		return nil
	}
	return []string{fmt.Sprintf("Too large to be sent here: %s. Whoever runs the bot can write it to disk with “bot export”.", strings.Join(names, ", "))}
}

// compressed is a file in gzip's format.
func compressed(f file) file {
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	_, err := w.Write(f.data)
	if err != nil || w.Close() != nil {
		return f // writing to memory does not fail
	}
	return file{name: f.name + ".gz", kind: "application/gzip", data: b.Bytes()}
}

// fileName is a name that Discord keeps and refers to as it is: letters, digits,
// - and _, and an ending; that one, or its own for "".
func fileName(name, ending string) string {
	stem, own := strings.TrimSuffix(name, path.Ext(name)), keep(path.Ext(name))
	if stem = keep(stem); stem == "" {
		stem = "file"
	}
	if ending == "" && own != "" {
		ending = "." + own
	}
	return stem + ending
}

func keep(text string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '_' {
			return r
		}
		return -1
	}, text)
}

// unlike is a name that none of the files has.
func unlike(files []file, name string) string {
	for _, f := range files {
		if strings.EqualFold(f.name, name) {
			return unlike(files, "other-"+name)
		}
	}
	return name
}
