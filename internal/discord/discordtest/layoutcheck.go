package discordtest

import "unicode/utf8"

// Containers cannot hold containers (components/reference, container).
var (
	layoutTop   = []int64{actionRow, section, textDisplay, mediaGallery, fileDisplay, separator, container}
	layoutInner = layoutTop[:len(layoutTop)-1]
)

// readLayout checks a message laid out by components: forty in all with nested
// ones, 4000 characters of text in all.
func readLayout(f form, u *custom) []any {
	for _, one := range f.forms("components", 0, maxLayoutComponents) {
		readLayoutPart(one, u, layoutTop)
	}
	if u.count > maxLayoutComponents {
		f.fail("components", "COMPONENT_MAX_TOTAL_COMPONENTS_EXCEEDED",
			"Total components must be %d or fewer, nested ones included", maxLayoutComponents)
	}
	if u.text > maxTextDisplay {
		f.fail("components", "COMPONENT_DISPLAYABLE_TEXT_SIZE_EXCEEDED",
			"The displayable text exceeds the maximum size of %d", maxTextDisplay)
	}
	items, _ := f.data["components"].([]any)
	return items
}

func readLayoutPart(f form, u *custom, allowed []int64) {
	switch f.kind(allowed...) {
	case actionRow:
		readRow(f, u)
	case section:
		readSection(f, u)
	case textDisplay:
		readText(f, u)
	case mediaGallery:
		u.number(f)
		f.require("items")
		for _, item := range f.forms("items", 1, maxMediaItems) {
			readMedia(item, "media", "http", "https", "attachment")
			item.text("description", 0, maxDescription)
		}
	case fileDisplay:
		u.number(f)
		readMedia(f, "file", "attachment")
	case separator:
		u.number(f)
		f.whole("spacing", 1, 2)
		f.yes("divider")
	case container:
		readContainer(f, u)
	}
}

func readContainer(f form, u *custom) {
	u.number(f)
	f.whole("accent_color", 0, maxColour)
	f.require("components")
	for _, one := range f.forms("components", 1, maxLayoutComponents) {
		readLayoutPart(one, u, layoutInner)
	}
}

func readText(f form, u *custom) {
	u.number(f)
	u.text += utf8.RuneCountInString(f.needText("content", 1, maxTextDisplay))
}

// readSection checks one to three texts beside a button or a picture.
func readSection(f form, u *custom) {
	u.number(f)
	f.require("components")
	for _, one := range f.forms("components", 1, maxSectionTexts) {
		if one.kind(textDisplay) != 0 {
			readText(one, u)
		}
	}
	beside, there := f.sub("accessory")
	if !there {
		f.require("accessory")
		return
	}
	switch beside.kind(button, thumbnail) {
	case button:
		readButton(beside, u)
	case thumbnail:
		u.number(beside)
		readMedia(beside, "media", "http", "https", "attachment")
		beside.text("description", 0, maxDescription)
	}
}

func readMedia(f form, key string, schemes ...string) {
	media, there := f.sub(key)
	if !there {
		f.require(key)
		return
	}
	media.require("url")
	media.link("url", maxURL, schemes...)
}
