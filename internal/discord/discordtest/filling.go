package discordtest

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"unicode/utf8"
)

// filling turns what a person typed into the data of an interaction.
type filling struct {
	srv      *Server
	channel  *Channel
	resolved object
	force    bool
	partial  bool // autocomplete: required options may be missing, numbers are text
	focus    string
}

// options fills the declared options, sub-commands first: the path is what of
// the name is left.
func (fl *filling) options(declared []any, path []string, given []Option) ([]any, error) {
	if len(path) == 0 {
		return fl.values(declared, given)
	}
	for _, one := range declared {
		o, _ := one.(object)
		if o["name"] != path[0] || kindOf(o) > optionGroup {
			continue
		}
		nested, _ := o["options"].([]any)
		inner, err := fl.options(nested, path[1:], given)
		return []any{object{"name": path[0], "type": kindOf(o), "options": inner}}, err
	}
	return nil, fmt.Errorf("there is no sub-command %q", path[0])
}

func (fl *filling) values(declared []any, given []Option) ([]any, error) {
	out := []any{}
	filled := map[string]bool{}
	for _, g := range given {
		if _, mark := g.Value.(anyway); mark {
			continue
		}
		o := declaration(declared, g.Name)
		if o == nil && !fl.force {
			return nil, fmt.Errorf("there is no option %q", g.Name)
		}
		one, err := fl.value(o, g)
		if err != nil && !fl.force {
			return nil, err
		}
		filled[g.Name] = true
		out = append(out, one)
	}
	for _, one := range declared {
		o, _ := one.(object)
		name, _ := o["name"].(string)
		if !fl.force && !fl.partial && (o["required"] == true && !filled[name] || kindOf(o) <= optionGroup) {
			return nil, fmt.Errorf("%q is required", name)
		}
	}
	return out, nil
}

func declaration(declared []any, name string) object {
	for _, one := range declared {
		if o, _ := one.(object); o["name"] == name {
			return o
		}
	}
	return nil
}

// value is one filled option, checked as the client checks it.
func (fl *filling) value(o object, g Option) (object, error) {
	kind := kindOf(o)
	if o == nil {
		kind = guess(g.Value)
	}
	value, err := fl.typed(kind, g)
	out := object{"name": g.Name, "type": kind, "value": value}
	if fl.focus == g.Name {
		out["focused"] = true
	}
	if fl.partial {
		if kind == optionInteger || kind == optionNumber {
			out["value"] = fmt.Sprint(g.Value) // numbers come as they are being typed (practice)
		}
		return out, nil
	}
	if err == nil {
		err = withinDeclared(o, g.Name, value)
	}
	return out, err
}

// typed is the value as the interaction carries it.
func (fl *filling) typed(kind int64, g Option) (any, error) {
	wrong := fmt.Errorf("%s: %v (%T) does not fit its type", g.Name, g.Value, g.Value)
	switch v := g.Value.(type) {
	case string:
		if kind != optionString {
			return v, wrong
		}
		return v, nil
	case int:
		if kind != optionInteger && kind != optionNumber {
			return v, wrong
		}
		return v, nil
	case float64:
		if kind != optionNumber || math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, wrong
		}
		return v, nil
	case bool:
		if kind != optionBoolean {
			return v, wrong
		}
		return v, nil
	}
	id, group, entry := fl.resolve(g.Value)
	if id == "" || !slices.Contains(resolvedKinds[group], kind) {
		return id, wrong
	}
	table, _ := fl.resolved[group].(object)
	if table == nil {
		table = object{}
		fl.resolved[group] = table
	}
	table[id] = entry
	return id, nil
}

// resolvedKinds says which option types each table of resolved data serves.
var resolvedKinds = map[string][]int64{
	"users": {optionUser, optionMentionable}, "roles": {optionRole, optionMentionable},
	"channels": {optionChannel}, "attachments": {optionAttachment},
}

func (fl *filling) resolve(v any) (id, group string, entry object) {
	switch v := v.(type) {
	case *User:
		return v.ID, "users", v.json()
	case *Role:
		return v.ID, "roles", v.json(1)
	case *Channel:
		return v.ID, "channels", v.json()
	case File:
		f := fl.srv.attach(v, fl.channel.ID)
		return f.id, "attachments", f.json()
	}
	return "", "", nil
}

// guess is the option type of a value nobody declared.
func guess(v any) int64 {
	switch v.(type) {
	case int:
		return optionInteger
	case float64:
		return optionNumber
	case bool:
		return optionBoolean
	case *User:
		return optionUser
	case *Role:
		return optionRole
	case *Channel:
		return optionChannel
	case File:
		return optionAttachment
	}
	return optionString
}

// withinDeclared holds a value to the limits and choices of its declaration.
func withinDeclared(o object, name string, value any) error {
	choices, _ := o["choices"].([]any)
	if len(choices) > 0 && !slices.ContainsFunc(choices, func(c any) bool {
		one, _ := c.(object)
		return fmt.Sprint(one["value"]) == fmt.Sprint(value)
	}) {
		return fmt.Errorf("%s: %v is none of its choices", name, value)
	}
	if text, isText := value.(string); isText {
		n := int64(utf8.RuneCountInString(text))
		least, _ := wholeNumber(o["min_length"])
		most, bounded := wholeNumber(o["max_length"])
		if !bounded {
			most = maxOptionLength
		}
		if n < least || n > most {
			return fmt.Errorf("%s: %d characters, from %d to %d are allowed", name, n, least, most)
		}
		return nil
	}
	x, isNumber := decimal(value)
	least, low := decimal(o["min_value"])
	most, high := decimal(o["max_value"])
	if isNumber && (low && x < least || high && x > most) {
		return fmt.Errorf("%s: %v is out of its limits", name, value)
	}
	return nil
}

// plainValue turns a JSON value into what tests compare: string, int, float64.
func plainValue(v any) any {
	number, isNumber := v.(json.Number)
	if !isNumber {
		return v
	}
	if n, err := number.Int64(); err == nil {
		return int(n)
	}
	x, _ := number.Float64() // a JSON number is one
	return x
}
