package discordtest

// readComponents checks the components of a message: rows of buttons and selects.
func readComponents(f form) []any {
	u := newCustom()
	for _, row := range f.forms("components", 0, maxRows) {
		if row.kind(actionRow) != 0 {
			readRow(row, u)
		}
	}
	items, _ := f.data["components"].([]any)
	return items
}

// readRow checks an action row: up to five buttons, or one select.
func readRow(f form, u *custom) {
	u.number(f)
	if !f.require("components") {
		return
	}
	buttons, selects := 0, 0
	for _, one := range f.forms("components", 1, maxButtonsInRow) {
		switch one.kind(button, stringSelect, userSelect, roleSelect, mentionableSelect, channelSelect) {
		case 0:
		case button:
			buttons++
			readButton(one, u)
		default:
			selects++
			readSelect(one, u, false)
		}
	}
	if selects > 1 || selects == 1 && buttons > 0 {
		f.fail("components", "COMPONENT_LAYOUT_WIDTH_EXCEEDED", "The specified component exceeds the maximum width")
	}
}

// readButton checks a button against what its style asks for.
func readButton(f form, u *custom) {
	u.number(f)
	f.require("style")
	style, _ := f.whole("style", 1, stylePremium)
	text := f.text("label", 0, maxButtonLabel)
	f.yes("disabled")
	readEmoji(f)
	switch style {
	case styleLink:
		f.require("url")
		f.link("url", maxButtonURL, "http", "https", "discord")
		f.forbid("link", "custom_id", "sku_id")
	case stylePremium:
		f.require("sku_id")
		f.id("sku_id")
		f.forbid("premium", "custom_id", "label", "url", "emoji")
		return
	default:
		u.name(f)
		f.forbid("non-link", "url", "sku_id")
	}
	if text == "" && !f.has("emoji") { // practice
		f.fail("label", "BASE_TYPE_REQUIRED", "This field is required")
	}
}

// forbid refuses fields that a style of button cannot have.
func (f form) forbid(style string, keys ...string) {
	for _, key := range keys {
		if !blank(f.data[key]) {
			f.fail(key, "BUTTON_COMPONENT_INVALID_FIELD", "A %s button cannot have %s", style, key)
		}
	}
}

func readEmoji(f form) {
	e, there := f.sub("emoji")
	if !there {
		return
	}
	e.id("id")
	e.text("name", 0, 32)
	if blank(e.data["id"]) && blank(e.data["name"]) {
		e.fail("name", "BASE_TYPE_REQUIRED", "This field is required")
	}
}

// readSelect checks a select of any kind, in a message or in a modal.
func readSelect(f form, u *custom, modal bool) {
	u.number(f)
	u.name(f)
	f.text("placeholder", 0, maxPlaceholder)
	optional := f.has("required") && !f.yes("required")
	if f.yes("disabled") && modal {
		f.fail("disabled", "MODAL_COMPONENT_DISABLED", "Modal components cannot be disabled")
	}
	least, given := f.whole("min_values", 0, maxSelectOptions)
	if modal && given && least == 0 && !optional {
		f.fail("min_values", "NUMBER_TYPE_MIN", "int value should be greater than or equal to 1.")
	}
	if !given {
		least = 1
	}
	most, given := f.whole("max_values", 1, maxSelectOptions)
	if !given {
		most = 1
	}
	if given && least > most {
		f.fail("min_values", "SELECT_COMPONENT_INVALID_RANGE", "min_values is above max_values")
	}
	if kindOf(f.data) == stringSelect {
		readSelectOptions(f, most)
	} else if !blank(f.data["options"]) {
		f.fail("options", "SELECT_COMPONENT_OPTIONS_NOT_ALLOWED", "Only a string select has options")
	}
}

// readSelectOptions checks the options of a string select: one to 25, their
// values unique, no more marked than may be chosen (both practice).
func readSelectOptions(f form, most int64) {
	if !f.require("options") {
		return
	}
	options := f.forms("options", 1, maxSelectOptions)
	seen, marked := map[string]bool{}, int64(0)
	for _, o := range options {
		o.needText("label", 1, maxSelectText)
		value := o.needText("value", 1, maxSelectText)
		o.text("description", 0, maxSelectText)
		readEmoji(o)
		if o.yes("default") {
			marked++
		}
		if seen[value] {
			o.fail("value", "SELECT_COMPONENT_OPTION_VALUE_DUPLICATED", "The specified option value is already used")
		}
		seen[value] = true
	}
	if marked > most {
		f.fail("options", "SELECT_COMPONENT_TOO_MANY_DEFAULTS", "More than %d options are marked as default", most)
	}
	if most > int64(len(options)) && len(options) > 0 && f.has("max_values") {
		f.fail("max_values", "SELECT_COMPONENT_MAX_VALUES", "max_values is above the number of options")
	}
}
