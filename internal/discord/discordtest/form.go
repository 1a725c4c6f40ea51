package discordtest

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// object is a JSON object as it came; numbers are json.Number.
type object = map[string]any

// formError is one refused value: where it stands, the platform's code, and
// its words. The codes and words are the platform's usual ones (practice: the
// documentation says that no complete list exists).
type formError struct {
	path          []string
	code, message string
}

// String is the error on one line: "embeds.0.title: Must be …".
func (e formError) String() string {
	where := strings.Join(e.path, ".")
	if where == "" {
		where = "body"
	}
	return where + ": " + e.message
}

// form reads one JSON object of a request and collects what the platform
// would refuse about it. Forms of nested objects share the collection.
type form struct {
	data object
	path []string
	errs *[]formError
}

func newForm(data object) form {
	return form{data: data, errs: &[]formError{}}
}

func (f form) failed() bool { return len(*f.errs) > 0 }

// fail refuses the value under key ("" = the object itself).
func (f form) fail(key, code, format string, args ...any) {
	path := append([]string(nil), f.path...)
	if key != "" {
		path = append(path, key)
	}
	*f.errs = append(*f.errs, formError{path, code, fmt.Sprintf(format, args...)})
}

// has tells whether key is there and not null.
func (f form) has(key string) bool { return f.data[key] != nil }

// require refuses the object when key is missing.
func (f form) require(key string) bool {
	if !f.has(key) {
		f.fail(key, "BASE_TYPE_REQUIRED", "This field is required")
	}
	return f.has(key)
}

// text reads an optional string of min to max characters.
func (f form) text(key string, min, max int) string {
	if !f.has(key) {
		return ""
	}
	text, ok := f.data[key].(string)
	if !ok {
		f.fail(key, "STRING_TYPE_CONVERT", "Could not interpret %q as string.", fmt.Sprint(f.data[key]))
		return ""
	}
	f.length(key, utf8.RuneCountInString(text), min, max)
	return text
}

func (f form) length(key string, n, min, max int) {
	switch {
	case min > 0 && (n < min || n > max):
		f.fail(key, "BASE_TYPE_BAD_LENGTH", "Must be between %d and %d in length.", min, max)
	case n > max:
		f.fail(key, "BASE_TYPE_MAX_LENGTH", "Must be %d or fewer in length.", max)
	}
}

// needText reads a required string of min to max characters.
func (f form) needText(key string, min, max int) string {
	if !f.require(key) {
		return ""
	}
	return f.text(key, min, max)
}

// whole reads an optional whole number from min to max. The platform takes
// strings of digits too.
func (f form) whole(key string, min, max int64) (int64, bool) {
	if !f.has(key) {
		return 0, false
	}
	n, ok := wholeNumber(f.data[key])
	switch {
	case !ok:
		f.fail(key, "NUMBER_TYPE_COERCE", "Value %q is not int.", fmt.Sprint(f.data[key]))
		return 0, false
	case n < min:
		f.fail(key, "NUMBER_TYPE_MIN", "int value should be greater than or equal to %d.", min)
	case n > max:
		f.fail(key, "NUMBER_TYPE_MAX", "int value should be less than or equal to %d.", max)
	}
	return n, true
}

// yes reads an optional boolean.
func (f form) yes(key string) bool {
	if !f.has(key) {
		return false
	}
	b, ok := f.data[key].(bool)
	if !ok {
		f.fail(key, "BOOLEAN_TYPE_CONVERT", "Must be either true or false.")
	}
	return b
}

// id reads an optional snowflake.
func (f form) id(key string) string {
	if !f.has(key) {
		return ""
	}
	text := fmt.Sprint(f.data[key])
	if !snowflake(text) {
		f.fail(key, "NUMBER_TYPE_COERCE", "Value %q is not snowflake.", text)
	}
	return text
}

// list reads an optional array of min to max entries.
func (f form) list(key string, min, max int) []any {
	if !f.has(key) {
		return nil
	}
	items, ok := f.data[key].([]any)
	if !ok {
		f.fail(key, "LIST_TYPE_CONVERT", "Only iterables may be used in a ListType")
		return nil
	}
	f.length(key, len(items), min, max)
	return items
}

// forms reads an optional array of objects.
func (f form) forms(key string, min, max int) []form {
	var out []form
	for i, item := range f.list(key, min, max) {
		data, ok := item.(object)
		entry := form{data, append(append([]string(nil), f.path...), key, strconv.Itoa(i)), f.errs}
		if !ok {
			entry.fail("", "DICT_TYPE_CONVERT", "Only dictionaries may be used in a DictType")
			continue
		}
		out = append(out, entry)
	}
	return out
}

// sub reads an optional object.
func (f form) sub(key string) (form, bool) {
	if !f.has(key) {
		return form{}, false
	}
	data, ok := f.data[key].(object)
	if !ok {
		f.fail(key, "DICT_TYPE_CONVERT", "Only dictionaries may be used in a DictType")
	}
	return form{data, append(append([]string(nil), f.path...), key), f.errs}, ok
}

// link reads an optional address with one of the schemes.
func (f form) link(key string, max int, schemes ...string) string {
	text := f.text(key, 0, max)
	if text == "" {
		return ""
	}
	for _, scheme := range schemes {
		if strings.HasPrefix(text, scheme+"://") && len(text) > len(scheme)+3 {
			return text
		}
	}
	f.fail(key, "URL_TYPE_INVALID_SCHEME", "Scheme of %q must be one of ('%s').", text, strings.Join(schemes, "', '"))
	return text
}

// wholeNumber reads a JSON whole number, or a string of digits.
func wholeNumber(v any) (int64, bool) {
	text := ""
	switch v := v.(type) {
	case json.Number:
		text = v.String()
	case string:
		text = v
	case int:
		return int64(v), true
	case int64:
		return v, true
	default:
		return 0, false
	}
	if n, err := strconv.ParseInt(text, 10, 64); err == nil {
		return n, true
	}
	x, err := strconv.ParseFloat(text, 64)
	return int64(x), err == nil && x == math.Trunc(x) && math.Abs(x) < 1<<62
}

// decimal reads a JSON number, or a string that holds one.
func decimal(v any) (float64, bool) {
	switch v.(type) {
	case json.Number, string, int, int64, float64:
	default:
		return 0, false
	}
	x, err := strconv.ParseFloat(fmt.Sprint(v), 64)
	return x, err == nil && !math.IsNaN(x) && !math.IsInf(x, 0)
}
