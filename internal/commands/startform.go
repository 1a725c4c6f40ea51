package commands

import (
	"context"
	"maps"
	"strconv"

	"holdbench/internal/calc"
)

// The fields of the forms of the guided start, and its options of the same names.
const (
	nameField  = "name"
	gelsField  = "gels"
	classField = "class"
)

// longestList is how many characters a pasted list of names may have.
const longestList = 4000

// toFill stands for what is to be filled in: a form asks for it.
const toFill = "…"

// startForm takes what is typed: the group's name, or a list of gels with their class.
var startForm = &Form{
	Title: "First steps",
	Fields: []Field{
		{Name: nameField, Label: "Name of the group", Most: 100, Required: true},
		{Name: gelsField, Label: "Gels", Help: "as they are called on the box, one a line", Most: longestList,
			Required: true, Long: true},
		{Name: classField, Label: "Class of all these gels", Help: "where the calculation starts; the group's own " +
			"tests move it", Most: maxValue, Choices: gelClassItems(), Required: true},
	},
	When: func(req Request) bool { return req.value(nameField) == toFill || req.value(gelsField) == toFill },
	Which: func(req Request) []string {
		if _, named := req.Filled[nameField]; named || req.value(nameField) != "" {
			return []string{nameField}
		}
		return []string{gelsField, classField}
	},
	Fill: func(ctx context.Context, env *Env, _ Request) (map[string]string, error) {
		settings, err := env.Group.Settings(ctx)
		return map[string]string{nameField: settings.Name, classField: string(calc.UnknownGel)}, err
	},
	Read: func(_ view, filled map[string]string) (map[string]string, error) {
		values := map[string]string{"step": strconv.Itoa(needleStep)}
		if filled[nameField] != "" {
			values["step"] = strconv.Itoa(groupStep)
		}
		maps.Copy(values, filled)
		return values, nil
	},
}

// gelClassItems are the gel classes with what each is like.
func gelClassItems() []Item {
	var items []Item
	for _, c := range calc.GelClasses() {
		items = append(items, Item{Label: string(c) + ": " + classWords(c), Value: string(c)})
	}
	return items
}
