package discordtest_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/discordtest"
)

type (
	obj = map[string]any
	arr = []any
)

func long(n int) string { return strings.Repeat("é", n) } // two bytes, one character

// many returns n of what make gives.
func many(n int, make func(int) any) arr {
	out := arr{}
	for i := range n {
		out = append(out, make(i))
	}
	return out
}

func field(name, value string) any { return obj{"name": name, "value": value} }
func embed(o obj) obj              { return obj{"embeds": arr{o}} }
func row(parts ...any) any         { return obj{"type": 1, "components": parts} }
func rows(parts ...any) obj        { return obj{"content": "x", "components": arr{row(parts...)}} }
func press(i int) any {
	return obj{"type": 2, "style": 1, "label": "x", "custom_id": fmt.Sprint(i)}
}

// choose is a string select with the changes applied.
func choose(options int, change obj) any {
	s := obj{"type": 3, "custom_id": "s", "options": many(options, func(i int) any {
		return obj{"label": "x", "value": fmt.Sprint(i)}
	})}
	for key, value := range change {
		s[key] = value
	}
	return s
}

func button(change obj) any {
	b := obj{"type": 2, "style": 1, "label": "x", "custom_id": "b"}
	for key, value := range change {
		if value == nil {
			delete(b, key)
		} else {
			b[key] = value
		}
	}
	return b
}

func words(text string) any { return obj{"type": 10, "content": text} }

// limit is a body that is just too much, and where the platform says so.
// Sources of the numbers: the platform's documentation of August 2026,
// resources/message and components/reference, read for the notes; the 6000
// characters over all embeds from the same page.
type limit struct {
	scene string
	body  obj
	where string // "" = accepted
}

func messageLimits() []limit {
	full := func(n int) any { return obj{"description": long(n)} }
	return []limit{
		{"content of 2000", obj{"content": long(2000)}, ""},
		{"content of 2001", obj{"content": long(2001)}, "content"},
		{"ten embeds", obj{"embeds": many(10, func(int) any { return full(1) })}, ""},
		{"eleven embeds", obj{"embeds": many(11, func(int) any { return full(1) })}, "embeds"},
		{"title of 256", embed(obj{"title": long(256)}), ""},
		{"title of 257", embed(obj{"title": long(257)}), "embeds.0.title"},
		{"white space is not counted", obj{"embeds": arr{obj{"description": long(4000) + "   "},
			obj{"description": "   " + long(2000)}}}, ""},
		{"text of 4096", embed(obj{"description": long(4096)}), ""},
		{"text of 4097", embed(obj{"description": long(4097)}), "embeds.0.description"},
		{"25 fields", embed(obj{"fields": many(25, func(int) any { return field("n", "v") })}), ""},
		{"26 fields", embed(obj{"fields": many(26, func(int) any { return field("n", "v") })}), "embeds.0.fields"},
		{"field name of 257", embed(obj{"fields": arr{field(long(257), "v")}}), "embeds.0.fields.0.name"},
		{"field value of 1024", embed(obj{"fields": arr{field("n", long(1024))}}), ""},
		{"field value of 1025", embed(obj{"fields": arr{field("n", long(1025))}}), "embeds.0.fields.0.value"},
		{"blank field value", embed(obj{"fields": arr{field("n", " ")}}), "embeds.0.fields.0.value"},
		{"footer of 2049", embed(obj{"footer": obj{"text": long(2049)}}), "embeds.0.footer.text"},
		{"author of 257", embed(obj{"author": obj{"name": long(257)}}), "embeds.0.author.name"},
		{"colour of 25 bits", embed(obj{"title": "x", "color": 1 << 24}), "embeds.0.color"},
		{"colour as digits", embed(obj{"title": "x", "color": "255"}), ""},
		{"timestamp in words", embed(obj{"title": "x", "timestamp": "today"}), "embeds.0.timestamp"},
		{"author and footer with pictures", embed(obj{"author": obj{"name": "x", "url": "https://x",
			"icon_url": "https://x/y.png"}, "footer": obj{"text": "x", "icon_url": "https://x/y.png"}}), ""},
		{"a picture by its path", embed(obj{"author": obj{"name": "x", "icon_url": "/y.png"}}),
			"embeds.0.author.icon_url"},
		{"empty embed", embed(obj{}), "embeds.0.description"},
		{"scheme of an address", embed(obj{"title": "x", "url": "ftp://x"}), "embeds.0.url"},
		{"image without address", embed(obj{"image": obj{}}), "embeds.0.image.url"},
		{"6000 characters in all", obj{"embeds": arr{full(4000), full(2000)}}, ""},
		{"6001 characters in all", obj{"embeds": arr{full(4000), full(2001)}}, "embeds"},
		{"nonce of 26", obj{"content": "x", "nonce": long(26)}, "nonce"},
		{"parse and users at once", obj{"content": "x", "allowed_mentions": obj{"parse": arr{"users"},
			"users": arr{"1"}}}, "allowed_mentions"},
		{"101 users", obj{"content": "x", "allowed_mentions": obj{"users": many(101,
			func(i int) any { return fmt.Sprint(i) })}}, "allowed_mentions.users"},
		{"unknown parse", obj{"content": "x", "allowed_mentions": obj{"parse": arr{"all"}}}, "allowed_mentions.parse"},
		{"attachment from nowhere", obj{"content": "x", "attachments": arr{obj{"id": 0}}}, "attachments.0.id"},
		{"content that is a number", obj{"content": 1}, "content"},
	}
}

func componentLimits() []limit {
	return []limit{
		{"five rows of five", obj{"content": "x", "components": many(5, func(i int) any {
			return row(press(5*i), press(5*i+1), press(5*i+2), press(5*i+3), press(5*i+4))
		})}, ""},
		{"six rows", obj{"content": "x", "components": many(6, func(i int) any { return row(press(i)) })},
			"components"},
		{"six buttons", rows(press(0), press(1), press(2), press(3), press(4), press(5)), "components.0.components"},
		{"no button", rows(), "components.0.components"},
		{"button beside a select", rows(press(0), choose(2, nil)), "components.0.components"},
		{"button outside a row", obj{"content": "x", "components": arr{press(0)}}, "components.0.type"},
		{"label of 80", rows(button(obj{"label": long(80)})), ""},
		{"label of 81", rows(button(obj{"label": long(81)})), "components.0.components.0.label"},
		{"custom_id of 100", rows(button(obj{"custom_id": long(100)})), ""},
		{"custom_id of 101", rows(button(obj{"custom_id": long(101)})), "components.0.components.0.custom_id"},
		{"no custom_id", rows(button(obj{"custom_id": nil})), "components.0.components.0.custom_id"},
		{"custom_id twice", rows(press(1), press(1)), "components.0.components.1.custom_id"},
		{"neither label nor emoji", rows(button(obj{"label": nil})), "components.0.components.0.label"},
		{"emoji alone", rows(button(obj{"label": nil, "emoji": obj{"name": "👍"}})), ""},
		{"empty emoji", rows(button(obj{"emoji": obj{}})), "components.0.components.0.emoji.name"},
		{"link with custom_id", rows(button(obj{"style": 5, "url": "https://x"})),
			"components.0.components.0.custom_id"},
		{"link without address", rows(button(obj{"style": 5, "custom_id": nil})), "components.0.components.0.url"},
		{"address of 513", rows(button(obj{"style": 5, "custom_id": nil, "url": "https://" + long(505)})),
			"components.0.components.0.url"},
		{"style 7", rows(button(obj{"style": 7})), "components.0.components.0.style"},
		{"25 options", rows(choose(25, nil)), ""},
		{"26 options", rows(choose(26, nil)), "components.0.components.0.options"},
		{"no options", rows(choose(0, nil)), "components.0.components.0.options"},
		{"option label of 101", rows(choose(0, obj{"options": arr{obj{"label": long(101), "value": "v"}}})),
			"components.0.components.0.options.0.label"},
		{"option value of 101", rows(choose(0, obj{"options": arr{obj{"label": "l", "value": long(101)}}})),
			"components.0.components.0.options.0.value"},
		{"option text of 101", rows(choose(0, obj{"options": arr{obj{"label": "l", "value": "v",
			"description": long(101)}}})), "components.0.components.0.options.0.description"},
		{"value twice", rows(choose(0, obj{"options": arr{obj{"label": "a", "value": "v"},
			obj{"label": "b", "value": "v"}}})), "components.0.components.0.options.1.value"},
		{"placeholder of 151", rows(choose(2, obj{"placeholder": long(151)})), "components.0.components.0.placeholder"},
		{"max_values of 26", rows(choose(2, obj{"max_values": 26})), "components.0.components.0.max_values"},
		{"more than there are", rows(choose(2, obj{"max_values": 3})), "components.0.components.0.max_values"},
		{"least above most", rows(choose(3, obj{"min_values": 3, "max_values": 2})),
			"components.0.components.0.min_values"},
		{"text that is laid out", obj{"content": "x", "components": arr{words("x")}}, "components.0.type"},
	}
}

func TestMessagesAreHeldToTheLimits(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{GlobalLimit: discordtest.Off}, nil)
	for _, l := range append(messageLimits(), componentLimits()...) {
		if l.where != "" {
			s.srv.ExpectViolation("messages: " + l.where + ":")
		}
		before := len(s.srv.Violations())
		_, err := post(s, l.body)
		wantForm(t, l.scene, err, l.where)
		if broke := len(s.srv.Violations()) > before; broke != (l.where != "") {
			t.Errorf("%s: violation noted: %t", l.scene, broke)
		}
	}
}

// wantForm checks a 50035 answer: it must have an error at the path.
func wantForm(t *testing.T, scene string, err error, where string) {
	t.Helper()
	if where == "" {
		if err != nil {
			t.Errorf("%s: refused: %v", scene, err)
		}
		return
	}
	var refused *discordgo.RESTError
	if !errors.As(err, &refused) {
		t.Errorf("%s: got %v, want a refusal at %s", scene, err, where)
		return
	}
	var body struct {
		Code   int `json:"code"`
		Errors obj `json:"errors"`
	}
	if err := json.Unmarshal(refused.ResponseBody, &body); err != nil {
		t.Fatal(err)
	}
	at := body.Errors
	for _, key := range strings.Split(where, ".") {
		at, _ = at[key].(obj)
	}
	if body.Code != 50035 || refused.Response.StatusCode != 400 || at["_errors"] == nil {
		t.Errorf("%s: got %s, want an error at %s", scene, refused.ResponseBody, where)
	}
}

func TestAnEmptyMessageIsRefused(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	s.srv.ExpectViolation("50006")
	for _, body := range []obj{{}, {"content": "  "}, {"embeds": nil, "components": nil}} {
		_, err := post(s, body)
		wantStatus(t, err, 400, 50006)
	}
}

func TestUploadsAreHeldToTheirSizes(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	s.srv.ExpectViolation("40005")
	url := discordgo.EndpointChannelMessages(s.guild.Channel("general").ID)
	for scene, sizes := range map[string][]int{"one file": {10<<20 + 1}, "the request": {9 << 20, 9 << 20, 9 << 20}} {
		var files []*discordgo.File
		for _, n := range sizes {
			files = append(files, &discordgo.File{Name: "x.bin", Reader: strings.NewReader(strings.Repeat("x", n))})
		}
		kind, body, err := discordgo.MultipartBodyWithJSON(obj{}, files)
		if err != nil {
			t.Fatal(err)
		}
		_, err = s.dg.RequestRaw("POST", url, kind, body, url, 0)
		t.Log(scene, err)
		wantStatus(t, err, 413, 40005)
	}
	upload(t, s, "POST", url, obj{}, []*discordgo.File{{Name: "x.bin",
		Reader: strings.NewReader(strings.Repeat("x", 10<<20))}})
}

func TestFlagsAndPicturesThatThePlatformIgnoresAreNoted(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	s.srv.ExpectViolation("flags 64 cannot be set on a channel message")
	s.srv.ExpectViolation("attachment://none.png refers to no attachment")
	s.srv.ExpectViolation("embeds without the Embed Links permission")
	s.srv.ExpectViolation("enforce_nonce without a nonce")
	s.srv.ExpectViolation("attachment://log.csv is no picture")
	s.srv.ExpectViolation("poll: the stand-in does not simulate it")
	upload(t, s, "POST", discordgo.EndpointChannelMessages(s.guild.Channel("general").ID),
		embed(obj{"image": obj{"url": "attachment://log.csv"}}),
		[]*discordgo.File{{Name: "log.csv", Reader: strings.NewReader("a")}})
	if _, err := post(s, obj{"content": "x", "poll": obj{"question": obj{"text": "x"},
		"answers": arr{obj{"poll_media": obj{"text": "a"}}}}}); err != nil {
		t.Error(err)
	}
	m, err := post(s, obj{"content": "x", "flags": 64, "enforce_nonce": true})
	if err != nil || m.Flags != 0 {
		t.Errorf("got %+v, %v", m, err)
	}
	s.guild.Everyone(0)
	s.guild.BotPermissions(discordtest.ViewChannel | discordtest.SendMessages)
	if _, err := post(s, obj{"embeds": arr{obj{"image": obj{"url": "attachment://none.png"}}}}); err != nil {
		t.Error(err)
	}
}
