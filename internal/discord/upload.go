package discord

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
)

// file is a file of a message.
type file struct {
	name, kind string
	shown      bool   // as the message's picture
	alt        string // text for members who cannot see it
	data       []byte
}

// Discord's limits on files (reference, uploading files). An interaction may name another size.
const (
	maxFile   = 10 << 20 // bytes of one
	maxFiles  = 10
	maxUpload = 24 << 20 // bytes of all: 25 MiB a request, less what else is in it
)

// heavy is how many bytes of files a first answer may have.
const heavy = 256 << 10

// weight is how many bytes of files a message has.
func (m message) weight() int {
	n := 0
	for _, f := range m.files {
		n += len(f.data)
	}
	return n
}

// parts makes files those of a request.
func parts(files []file) []api.File {
	all := make([]api.File, len(files))
	for i, f := range files {
		all[i] = api.File{Name: f.name, Type: f.kind, Data: f.data}
	}
	return all
}

// uploads returns a Card's picture and files, and the Card with a note on those that are not sent as they are. A file
// of more than largest bytes is compressed, and a table that is still too large is split.
func uploads(card commands.Card, largest int) (commands.Card, []file) {
	var files []file
	room := maxUpload
	if p := card.Picture; p != nil && len(p.PNG) > 0 {
		files = append(files, file{name: fileName(p.Name, ".png"), kind: "image/png", shown: true,
			alt: plain(p.Alt, maxAlt), data: p.PNG})
		room -= len(p.PNG)
	}
	var packed, left []string
	for _, f := range card.Files {
		one := file{name: unlike(files, fileName(f.Name, "")), kind: f.Type, data: f.Data}
		parts := fitting(one, min(largest, room), room, maxFiles-len(files))
		if parts == nil {
			left = append(left, f.Name)
		}
		for _, part := range parts {
			files = append(files, part)
			room -= len(part.data)
			if part.name != one.name {
				packed = append(packed, part.name)
			}
		}
	}
	card.Facts = append(card.Facts[:len(card.Facts):len(card.Facts)], packedWords(packed)...)
	card.Warnings = append(card.Warnings[:len(card.Warnings):len(card.Warnings)], leftWords(left)...)
	return card, files
}

// send sends a message. If Discord refuses its files, which the bot may lack the permission for, it sends it once more
// without them.
func (m message) send(do func(message) error) error {
	err := do(m)
	if len(m.files) > 0 && api.Refused(err, api.MissingPermission) {
		err = do(m.inWords())
	}
	return err
}

// inWords is the message without its files, and with a note on that.
func (m message) inWords() message {
	const left = "\n❗ Left out: what was attached. The bot lacks Attach Files in this channel."
	e := m.Embeds[0]
	if e.Image = nil; length(e.Description+left) <= min(maxDescription, maxEmbedTotal-length(e.Title)-maxFooter) {
		e.Description += left
	}
	m.Embeds, m.files, m.Attachments = []embed{e}, nil, []attachment{}
	return m
}

func packedWords(names []string) []commands.Fact {
	if len(names) == 0 {
		return nil
	}
	words := "Compressed, being large: "
	if slices.ContainsFunc(names, partName.MatchString) {
		words = "Compressed and in parts, each with the heading, being large: "
	}
	return []commands.Fact{{Text: words + strings.Join(names, ", ")}}
}

func leftWords(names []string) []string {
	if len(names) == 0 {
		return nil
	}
	return []string{fmt.Sprintf("Too large to be sent here: %s. Whoever runs the bot can write it to disk with “bot "+
		"export”.", strings.Join(names, ", "))}
}

// compressed is a file in gzip's format.
func compressed(f file) file {
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	_, err := w.Write(f.data)
	if err != nil || w.Close() != nil {
		return f // cannot happen: writing to memory does not fail
	}
	return file{name: f.name + ".gz", kind: "application/gzip", data: b.Bytes()}
}

// partName matches the names of parts, which say which one of how many it is.
var partName = regexp.MustCompile(`-\d+of\d+\.`)

// fitting returns a file as it can be sent, in at most files files of largest bytes each and room bytes in all: as it
// is, compressed, or in parts; nil if it cannot be sent.
func fitting(f file, largest, room, files int) []file {
	if files < 1 {
		return nil
	}
	if len(f.data) <= largest {
		return []file{f}
	}
	whole := compressed(f)
	if len(whole.data) <= largest {
		return []file{whole}
	}
	if len(whole.data) > room || largest < 1 || !strings.HasPrefix(f.kind, "text/csv") {
		return nil
	}
	for n := len(whole.data)/largest + 1; n <= files; n++ {
		if parts, total := split(f, n, largest); parts != nil && total <= room {
			return parts
		}
	}
	return nil
}

// split splits a table into parts of whole lines, each compressed and with the heading, and returns their total size;
// nil if a part is larger than largest.
func split(f file, parts, largest int) (all []file, total int) {
	heading, rows := f.data, []byte(nil)
	if end := bytes.IndexByte(f.data, '\n'); end >= 0 {
		heading, rows = f.data[:end+1], f.data[end+1:]
	}
	ending := path.Ext(f.name)
	for i := range parts {
		end := len(rows)
		if most := len(rows) / (parts - i); i < parts-1 {
			end = bytes.LastIndexByte(rows[:most], '\n') + 1
		}
		part := compressed(file{
			name: fmt.Sprintf("%s-%dof%d%s", strings.TrimSuffix(f.name, ending), i+1, parts, ending),
			data: slices.Concat(heading, rows[:end]),
		})
		if rows = rows[end:]; len(part.data) > largest {
			return nil, 0
		}
		all, total = append(all, part), total+len(part.data)
	}
	return all, total
}

// fileName makes a name that Discord leaves as it is: letters, digits, - and _, and an ending, which is the name's
// own if ending is "".
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

// unlike makes a name that none of the files has.
func unlike(files []file, name string) string {
	for _, f := range files {
		if strings.EqualFold(f.name, name) {
			return unlike(files, "other-"+name)
		}
	}
	return name
}
