package discordtest

import (
	"strconv"
	"strings"
)

// readAttachments checks the list of attachments against the files of the
// request and, in an edit, those already there (resources/message, reference:
// uploading files).
func (d *draft) readAttachments(c *call, f form, old *message) {
	d.files = c.files
	listed := map[int]bool{}
	for _, entry := range f.forms("attachments", 0, maxFiles) {
		id := entry.id("id")
		if !entry.require("id") {
			continue
		}
		description := entry.text("description", 0, maxDescription)
		name := entry.text("filename", 0, maxDescription)
		if kept := old.file(id); kept != nil {
			d.keep = append(d.keep, id)
			continue
		}
		fresh := c.upload(id)
		if fresh == nil {
			entry.fail("id", "ATTACHMENT_NOT_FOUND", "Attachment %s is neither in the request nor on the message", id)
			continue
		}
		listed[fresh.place] = true
		fresh.description = description
		if name != "" {
			fresh.name = name
		}
	}
	d.dropUnlisted(c, f, listed)
	if len(d.kept(old.all()))+len(d.files) > maxFiles {
		f.fail("attachments", "BASE_TYPE_MAX_LENGTH", "Must be %d or fewer in length.", maxFiles)
	}
}

// dropUnlisted applies the rule of v10 for an edit: a list that is given names
// all files that stay, new ones too. In v9 new files are appended.
func (d *draft) dropUnlisted(c *call, f form, listed map[int]bool) {
	if !d.end.edit || f.data["attachments"] == nil {
		return
	}
	if d.keep == nil {
		d.keep = []string{}
	}
	if c.version < 10 {
		return
	}
	var stay []*file
	for _, one := range c.files {
		if listed[one.place] {
			stay = append(stay, one)
			continue
		}
		c.violate("files[%d] is not among the attachments of the edit and is dropped", one.place)
	}
	d.files = stay
}

// upload finds a new file by the n of files[n].
func (c *call) upload(id string) *file {
	n, err := strconv.Atoi(id)
	if err != nil {
		return nil
	}
	for _, f := range c.files {
		if f.place == n {
			return f
		}
	}
	return nil
}

func (m *message) all() []*file {
	if m == nil {
		return nil
	}
	return m.files
}

func (m *message) file(id string) *file {
	for _, f := range m.all() {
		if f.id == id {
			return f
		}
	}
	return nil
}

// checkReferences notes attachment:// references that lead nowhere: the
// platform shows a broken picture and says nothing. An embed shows pictures only.
func (d *draft) checkReferences(c *call, old *message) {
	have := append(d.kept(old.all()), d.files...)
	see := func(pictures bool) func(string) string {
		return func(text string) string {
			if name, found := strings.CutPrefix(text, "attachment://"); found {
				c.checkReference(have, name, pictures)
			}
			return text
		}
	}
	rewrite(d.embeds, see(true))
	rewrite(d.components, see(false))
}

func (c *call) checkReference(files []*file, name string, picture bool) {
	for _, f := range files {
		if f.name != name {
			continue
		}
		if picture && !f.picture() {
			c.violate("attachment://%s is no picture an embed can show", name)
		}
		return
	}
	c.violate("attachment://%s refers to no attachment of the message", name)
}
