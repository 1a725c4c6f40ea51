package commands

import (
	"context"
	"strings"
)

const setupsField = "setups"

// stockForm is one gel and what it is used on, in two lines.
func stockForm() *Form {
	return &Form{
		Title: "A gel you hold",
		Fields: []Field{
			{Name: gelField, Label: "Gel", Help: "as it is called on the box", Most: 100, Required: true},
			{Name: setupsField, Label: "Needles and cannulas you use it on",
				Help: "as in 27G 13 mm and 25G 38 mm cannula; one a line will do", Most: maxValue, Long: true},
		},
		Fill: func(_ context.Context, _ *Env, req Request) (map[string]string, error) {
			return req.Filled, nil
		},
		Read: func(_ context.Context, _ *Env, filled map[string]string) (map[string]string, error) {
			return map[string]string{
				productOption:    strings.TrimSpace(filled[gelField]),
				instrumentOption: strings.TrimSpace(filled[setupsField]),
			}, nil
		},
	}
}
