package commands

// Picture is a Card's picture. Nothing stands in it that the Card does not say.
type Picture struct {
	Name string // of the file, "share.png"; where a surface wrote it to disk, its path
	Alt  string // required; what it shows, for whoever cannot see it
	PNG  []byte
}

// File is something to take away: a surface attaches it, or writes it to disk and
// says where. The Card's words say what it holds.
type File struct {
	Name string // "tests.csv", no folder in it; where a surface wrote it to disk, its path
	Type string // as in "text/csv; charset=utf-8"
	Data []byte
}

// Link is something to look at elsewhere.
type Link struct{ Label, URL string }
