package discordtest

import (
	"fmt"
	"math"
	"unicode/utf8"
)

// Types of command options.
const (
	optionSubCommand  = 1
	optionGroup       = 2
	optionString      = 3
	optionInteger     = 4
	optionBoolean     = 5
	optionUser        = 6
	optionChannel     = 7
	optionRole        = 8
	optionMentionable = 9
	optionNumber      = 10
	optionAttachment  = 11
)

// How deep options stand: sub-commands may stand at the top or in a group,
// values anywhere but in a group.
const (
	optionsAtTop = iota
	optionsInGroup
	optionsInSubCommand
)

// readOptions checks a list of options and returns it as kept, with the
// characters that count to the command's size.
func readOptions(f form, key string, depth int) ([]any, int) {
	var kept []any
	size, optional := 0, false
	names, subs := map[string]bool{}, 0
	options := f.forms(key, 0, maxOptions)
	for _, o := range options {
		one, more := readOption(o, depth)
		size += more
		kept = append(kept, one)
		name, _ := one["name"].(string)
		if names[name] {
			o.fail("name", "APPLICATION_COMMAND_OPTIONS_NAME_DUPLICATED", "Option names must be unique")
		}
		names[name] = true
		required := o.data["required"] == true
		if required && optional {
			o.fail("required", "APPLICATION_COMMAND_OPTIONS_REQUIRED_INVALID",
				"Required options must be placed before non-required options")
		}
		optional = optional || !required
		if kindOf(o.data) <= optionGroup {
			subs++
		}
	}
	if subs > 0 && subs < len(options) {
		f.fail(key, "APPLICATION_COMMAND_OPTIONS_TYPE_MIXED", "Sub-commands and values cannot be mixed")
	}
	return kept, size
}

// readOption checks one option.
func readOption(f form, depth int) (object, int) {
	allowed := []int64{3, 4, 5, 6, 7, 8, 9, 10, 11}
	switch depth {
	case optionsAtTop:
		allowed = append([]int64{optionSubCommand, optionGroup}, allowed...)
	case optionsInGroup:
		allowed = []int64{optionSubCommand}
	}
	kind := f.kind(allowed...)
	kept := object{"type": kind}
	size := f.named(kept, true) + f.described(kept)
	if kind == optionSubCommand || kind == optionGroup {
		next := optionsInSubCommand
		if kind == optionGroup {
			next = optionsInGroup
		}
		nested, more := readOptions(f, "options", next)
		if len(nested) > 0 {
			kept["options"] = nested
		}
		return kept, size + more
	}
	if f.yes("required") {
		kept["required"] = true
	}
	if !blank(f.data["options"]) {
		f.fail("options", "APPLICATION_COMMAND_OPTIONS_NOT_ALLOWED", "Only sub-commands and groups have options")
	}
	f.bounds(kept, kind)
	return kept, size + f.choices(kept, kind)
}

// bounds reads min and max of numbers and of the length of strings.
func (f form) bounds(kept object, kind int64) {
	low, high := math.Inf(-1), math.Inf(1)
	for _, key := range []string{"min_value", "max_value"} {
		if !f.has(key) {
			continue
		}
		x, fine := decimal(f.data[key])
		whole := x == math.Trunc(x)
		if !fine || kind == optionInteger && !whole || math.Abs(x) > float64(maxWhole) ||
			kind != optionInteger && kind != optionNumber {
			f.fail(key, "APPLICATION_COMMAND_OPTION_BOUND_INVALID", "%s does not fit the option's type", key)
		}
		kept[key] = x
		if key == "min_value" {
			low = x
		} else {
			high = x
		}
	}
	if low > high {
		f.fail("min_value", "APPLICATION_COMMAND_OPTION_RANGE_INVALID", "min_value is above max_value")
	}
	least, _ := f.copyLength(kept, "min_length", 0, kind)
	most, given := f.copyLength(kept, "max_length", 1, kind)
	if given && least > most {
		f.fail("min_length", "APPLICATION_COMMAND_OPTION_RANGE_INVALID", "min_length is above max_length")
	}
}

func (f form) copyLength(kept object, key string, min, kind int64) (int64, bool) {
	n, there := f.whole(key, min, maxOptionLength)
	if there {
		kept[key] = n
		if kind != optionString {
			f.fail(key, "APPLICATION_COMMAND_OPTION_BOUND_INVALID", "%s is for strings", key)
		}
	}
	return n, there
}

// choices reads the fixed choices of an option, or that it asks the bot.
func (f form) choices(kept object, kind int64) int {
	asks := f.yes("autocomplete")
	if asks {
		kept["autocomplete"] = true
	}
	size := 0
	var out []any
	for _, one := range f.forms("choices", 0, maxChoices) {
		choice, more := readChoice(one, kind)
		size += more
		out = append(out, choice)
	}
	if out != nil {
		kept["choices"] = out
	}
	able := kind == optionString || kind == optionInteger || kind == optionNumber
	if asks && out != nil || (asks || out != nil) && !able {
		f.fail("autocomplete", "APPLICATION_COMMAND_OPTIONS_AUTOCOMPLETE_INVALID",
			"Choices and autocomplete exclude each other and are for strings and numbers")
	}
	return size
}

// readChoice checks a choice, of a declaration or an autocomplete answer: its
// value must be of the option's type.
func readChoice(f form, kind int64) (object, int) {
	kept := object{"name": f.needText("name", 1, maxChoiceText)}
	size := f.translated(kept, "name", maxChoiceText, nil)
	if !f.require("value") {
		return kept, size
	}
	kept["value"] = f.data["value"]
	_, isText := f.data["value"].(string)
	switch kind {
	case optionString:
		text := f.text("value", 0, maxChoiceText)
		return kept, size + utf8.RuneCountInString(text)
	case optionInteger:
		f.whole("value", -maxWhole, maxWhole)
	default:
		if x, fine := decimal(f.data["value"]); !fine || math.Abs(x) > float64(maxWhole) {
			f.fail("value", "NUMBER_TYPE_COERCE", "Value %q is not float.", fmt.Sprint(f.data["value"]))
		}
	}
	if isText {
		f.fail("value", "BASE_TYPE_TYPE", "The value of a number's choice is a number")
	}
	return kept, size + len(fmt.Sprint(f.data["value"]))
}
