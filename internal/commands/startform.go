package commands

import (
	"context"
	"maps"
	"strconv"

	"holdbench/internal/calc"
)

// Options of the guided start; its forms have fields of the same names.
const (
	gelsOption    = "gels"
	needlesOption = "needles"
)

// longestList is how many characters a pasted list of names may have.
const longestList = 4000

// toFill is the value of an option that a form asks for.
const toFill = "…"

// startForm takes what is typed: the group's name, or a list of gels with their class.
var startForm = &Form{
	Title: "First steps",
	Fields: []Field{
		{Name: nameOption, Label: "Name of the group", Most: 100, Required: true},
		{Name: gelsOption, Label: "Gels", Help: "as they are called on the box, one a line", Most: longestList,
			Required: true, Long: true},
		{Name: classOption, Label: "Class of all these gels", Help: "where the calculation starts; the group's own " +
			"tests move it", Most: maxValue, Choices: gelClassItems(), Required: true},
	},
	When: func(req Request) bool { return req.value(nameOption) == toFill || req.value(gelsOption) == toFill },
	Which: func(req Request) []string {
		if _, named := req.Filled[nameOption]; named || req.value(nameOption) != "" {
			return []string{nameOption}
		}
		return []string{gelsOption, classOption}
	},
	Fill: func(ctx context.Context, env *Env, _ Request) (map[string]string, error) {
		settings, err := env.Group.Settings(ctx)
		return map[string]string{nameOption: settings.Name, classOption: string(calc.UnknownGel)}, err
	},
	Read: func(_ view, filled map[string]string) (map[string]string, error) {
		values := map[string]string{"step": strconv.Itoa(needleStep)}
		if filled[nameOption] != "" {
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
