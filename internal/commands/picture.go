package commands

// Picture is a Card's picture. Nothing stands in it that the Card does not say.
type Picture struct {
	Name string // of the file: "share.png"
	Alt  string // required; what it shows, for whoever cannot see it
	PNG  []byte
}

// Link is something to look at elsewhere.
type Link struct{ Label, URL string }
