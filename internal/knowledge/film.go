package knowledge

import (
	"net/url"
	"unicode/utf8"

	"holdbench/internal/trade"
)

// Film says where a test can be seen again.
type Film struct {
	Marks string // start and end as they were typed: "0:12.40–0:17.13"; "" not said
	Link  string // the https address of the post it came in; "" for none
}

const (
	maxFilmMarks = 60  // characters
	maxFilmLink  = 200 // bytes
)

// validate returns a *FieldError unless both parts are plain and short.
func (f Film) validate() error {
	if f.Marks != "" {
		if err := trade.CheckName("film", f.Marks, maxFilmMarks); err != nil {
			return err
		}
	}
	if f.Link == "" {
		return nil
	}
	address, err := url.Parse(f.Link)
	if err != nil || address.Scheme != "https" || address.Host == "" || len(f.Link) > maxFilmLink ||
		!utf8.ValidString(f.Link) {
		return trade.Refuse("film", "its link is not an https address of at most %d characters", maxFilmLink)
	}
	return nil
}
