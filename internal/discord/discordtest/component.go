package discordtest

// Component types (components/reference).
const (
	actionRow         = 1
	button            = 2
	stringSelect      = 3
	textInput         = 4
	userSelect        = 5
	roleSelect        = 6
	mentionableSelect = 7
	channelSelect     = 8
	label             = 18
)

// Button styles.
const (
	styleLink    = 5
	stylePremium = 6
)

func kindOf(c object) int64 {
	n, _ := wholeNumber(c["type"])
	return n
}

// walk visits all components, nested ones too.
func walk(components []any, visit func(object)) {
	for _, one := range components {
		c, isObject := one.(object)
		if !isObject {
			continue
		}
		visit(c)
		nested, _ := c["components"].([]any)
		walk(nested, visit)
		if inner, there := c["component"].(object); there {
			walk([]any{inner}, visit)
		}
	}
}

// numbered gives components without an id the next free one, as the platform
// does.
func numbered(components []any) []any {
	taken := map[int64]bool{}
	walk(components, func(c object) {
		for _, key := range []string{"type", "id", "style", "min_values", "max_values", "min_length", "max_length"} {
			if n, whole := wholeNumber(c[key]); whole {
				c[key] = n // digits in a string are a number to the platform
			}
		}
		if id, _ := wholeNumber(c["id"]); id != 0 {
			taken[id] = true
		}
	})
	next := int64(1)
	walk(components, func(c object) {
		if id, _ := wholeNumber(c["id"]); id != 0 {
			return
		}
		for taken[next] {
			next++
		}
		c["id"], taken[next] = next, true
	})
	return components
}

// custom collects custom_ids and ids, which are unique in a message or modal.
type custom struct {
	names map[string]bool
	ids   map[int64]bool
}

func newCustom() *custom { return &custom{names: map[string]bool{}, ids: map[int64]bool{}} }

// number reads the optional numeric id.
func (u *custom) number(f form) {
	id, there := f.whole("id", 0, 1<<31-1)
	if there && id != 0 && u.ids[id] {
		f.fail("id", "COMPONENT_ID_DUPLICATED", "Component id cannot be duplicated")
	}
	u.ids[id] = true
}

// name reads a required custom_id.
func (u *custom) name(f form) {
	name := f.needText("custom_id", 1, maxCustomID)
	if name != "" && u.names[name] {
		f.fail("custom_id", "COMPONENT_CUSTOM_ID_DUPLICATED", "Component custom id cannot be duplicated")
	}
	u.names[name] = true
}

// kind reads the required type, which must be one of the allowed.
func (f form) kind(allowed ...int64) int64 {
	if !f.require("type") {
		return 0
	}
	n, _ := f.whole("type", 0, 1<<31-1)
	for _, one := range allowed {
		if n == one {
			return n
		}
	}
	f.fail("type", "BASE_TYPE_CHOICES", "Value of field \"type\" must be one of %v.", allowed)
	return 0
}
