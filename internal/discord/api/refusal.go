package api

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"github.com/bwmarrin/discordgo"
)

// Codes of Discord's errors (topics/opcodes-and-status-codes).
const (
	UnknownChannel     = 10003
	UnknownMessage     = 10008
	UnknownUser        = 10013
	UnknownInteraction = 10062
	AnsweredBefore     = 40060
	NoDirectMessages   = 50007
	MissingPermission  = 50013
	BadForm            = 50035
)

// Refusal is Discord's error answer to a request.
type Refusal struct {
	Status, Code int
	Text         string
	After        time.Duration // of a 429: when to try again
}

func (r *Refusal) Error() string {
	return fmt.Sprintf("Discord said %d, code %d: %s", r.Status, r.Code, r.Text)
}

// Refused reports whether err is a Refusal with one of these codes.
func Refused(err error, codes ...int) bool {
	r, is := errors.AsType[*Refusal](err)
	return is && slices.Contains(codes, r.Code)
}

// RefusedAs reports whether err is a Refusal with one of these statuses.
func RefusedAs(err error, statuses ...int) bool {
	r, is := errors.AsType[*Refusal](AsRefusal(err))
	return is && slices.Contains(statuses, r.Status)
}

// AsRefusal turns discordgo's error of a request into a *Refusal, and returns any other error as it is.
func AsRefusal(err error) error {
	rest, is := errors.AsType[*discordgo.RESTError](err)
	if !is || rest.Response == nil {
		return err
	}
	return readRefusal(rest.Response, rest.ResponseBody)
}

// readRefusal reads Discord's error answer, or that of a server in between.
func readRefusal(resp *http.Response, said []byte) *Refusal {
	r := &Refusal{Status: resp.StatusCode, Text: http.StatusText(resp.StatusCode)}
	var told struct {
		Code       int             `json:"code"`
		Message    string          `json:"message"`
		RetryAfter float64         `json:"retry_after"`
		Errors     json.RawMessage `json:"errors"`
	}
	if json.Unmarshal(said, &told) == nil {
		r.Code, r.Text = told.Code, oneLine(told.Message+" "+string(told.Errors))
	}
	after := told.RetryAfter
	if after == 0 {
		after, _ = strconv.ParseFloat(resp.Header.Get("Retry-After"), 64) // 0 without the header
	}
	r.After = time.Duration(after * float64(time.Second))
	return r
}

// longestText is how many characters of Discord's text are kept.
const longestText = 500

// oneLine returns a text as one line of printable characters.
func oneLine(text string) string {
	text = strings.Map(func(r rune) rune {
		if unicode.IsGraphic(r) {
			return r
		}
		return ' '
	}, text)
	runes := []rune(strings.Join(strings.Fields(text), " "))
	return string(runes[:min(len(runes), longestText)])
}
