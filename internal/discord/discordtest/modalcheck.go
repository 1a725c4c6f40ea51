package discordtest

// readModal checks the data of a modal (interactions/receiving-and-responding,
// components/reference).
func readModal(f form) {
	u := newCustom()
	f.needText("title", 1, maxModalTitle)
	f.needText("custom_id", 1, maxCustomID)
	if !f.require("components") {
		return
	}
	for _, one := range f.forms("components", 1, maxModalComponents) {
		switch one.kind(actionRow, label) {
		case actionRow:
			readModalRow(one, u)
		case label:
			readLabel(one, u)
		}
	}
	items, _ := f.data["components"].([]any)
	f.data["components"] = numbered(items)
}

// readModalRow checks the deprecated but valid form: a row with one text input
// that carries its own label.
func readModalRow(f form, u *custom) {
	u.number(f)
	f.require("components")
	for _, one := range f.forms("components", 1, 1) {
		if one.kind(textInput) != 0 {
			one.needText("label", 1, maxLabel)
			readTextInput(one, u)
		}
	}
}

func readLabel(f form, u *custom) {
	u.number(f)
	f.needText("label", 1, maxLabel)
	f.text("description", 0, maxLabelDescription)
	inner, there := f.sub("component")
	if !there {
		f.require("component")
		return
	}
	switch inner.kind(textInput, stringSelect, userSelect, roleSelect, mentionableSelect, channelSelect) {
	case 0:
	case textInput:
		if inner.has("label") {
			inner.fail("label", "TEXT_INPUT_LABEL_IN_LABEL", "A text input in a label has no label of its own")
		}
		readTextInput(inner, u)
	default:
		readSelect(inner, u, true)
	}
}

func readTextInput(f form, u *custom) {
	u.number(f)
	u.name(f)
	f.require("style")
	f.whole("style", 1, 2)
	least, _ := f.whole("min_length", 0, maxTextInput)
	most, bounded := f.whole("max_length", 1, maxTextInput)
	if !bounded {
		most = maxTextInput
	}
	if least > most {
		f.fail("min_length", "TEXT_INPUT_INVALID_RANGE", "min_length is above max_length")
	}
	f.text("placeholder", 0, maxInputPlaceholder)
	f.text("value", 0, int(most)) // a prefill longer than the field is refused
	f.yes("required")
}
