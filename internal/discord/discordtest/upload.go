package discordtest

import (
	"bytes"
	"errors"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"path"
	"regexp"
	"strconv"
	"strings"
)

// file is an uploaded file, of the bot or of a person.
type file struct {
	id, name, kind, description string
	data                        []byte
	place                       int // n of files[n], -1 once it belongs to a message
	url                         string
	shown                       bool // an embed or component shows it
}

// File is a file a person attaches to a message or gives to a command.
type File struct {
	Name, ContentType, Description string
	Data                           []byte
}

var partName = regexp.MustCompile(`^files\[([0-9]+)\]$`)

// parseParts reads a multipart body: payload_json and files[n]
// (reference, uploading files).
func (c *call) parseParts() reply {
	_, params, err := mime.ParseMediaType(c.header.Get("Content-Type"))
	if err != nil {
		return refuse(400, 50035, "Invalid Content-Type")
	}
	reader := multipart.NewReader(bytes.NewReader(c.raw), params["boundary"])
	for {
		part, err := reader.NextRawPart()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return refuse(400, 50035, "malformed multipart body")
		}
		if bad := c.parsePart(part); bad.status != 0 {
			return bad
		}
	}
	if c.body == nil {
		c.body = object{}
	}
	return reply{}
}

func (c *call) parsePart(part *multipart.Part) reply {
	data, err := io.ReadAll(part)
	if err != nil {
		return refuse(400, 50035, "malformed multipart body")
	}
	if part.FormName() == "payload_json" {
		return c.parseJSON(data)
	}
	match := partName.FindStringSubmatch(part.FormName())
	switch {
	case match == nil:
		return refuse(400, 50035, "part "+strconv.Quote(part.FormName())+": only payload_json and files[n] are read")
	case part.FileName() == "":
		return refuse(400, 50035, part.FormName()+": no filename")
	case len(data) > c.srv.opts.FileBytes:
		return tooLarge
	}
	n, _ := strconv.Atoi(match[1]) // digits by the pattern; an overflow is 0 and found double
	for _, other := range c.files {
		if other.place == n {
			return refuse(400, 50035, part.FormName()+" twice")
		}
	}
	c.files = append(c.files, &file{
		name: part.FileName(), kind: part.Header.Get("Content-Type"), data: data, place: n,
	})
	c.record.Files = append(c.record.Files, RecordedFile{part.FormName(), part.FileName(),
		part.Header.Get("Content-Type"), len(data)})
	return reply{}
}

// keep gives a file its id and address.
func (s *Server) keep(f *file, channel string) *file {
	f.id, f.place = s.newID(), -1
	f.url = s.URL() + "/attachments/" + channel + "/" + f.id + "/" + f.name
	s.files[f.id] = f
	return f
}

// attach turns a person's file into a kept one.
func (s *Server) attach(one File, channel string) *file {
	return s.keep(&file{name: one.Name, kind: one.ContentType, description: one.Description, data: one.Data}, channel)
}

// json is the attachment object of the file.
func (f *file) json() object {
	out := object{
		"id": f.id, "filename": f.name, "size": len(f.data), "url": f.url, "proxy_url": f.url,
		"content_type": f.kind,
	}
	if f.description != "" {
		out["description"] = f.description
	}
	return out
}

// picture tells whether an embed can show the file (reference: uploading files).
func (f *file) picture() bool {
	switch strings.ToLower(path.Ext(f.name)) {
	case ".jpg", ".jpeg", ".png", ".webp", ".gif":
		return true
	}
	return false
}

// serveFile answers what the platform's file host would.
func (s *Server) serveFile(w http.ResponseWriter, r *http.Request) {
	parts := strings.Split(strings.TrimPrefix(r.URL.Path, "/attachments/"), "/")
	s.mu.Lock()
	var f *file
	if len(parts) == 3 {
		f = s.files[parts[1]]
	}
	s.mu.Unlock()
	if f == nil {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", f.kind)
	_, _ = w.Write(f.data) // a client that hung up is no concern of ours
}
