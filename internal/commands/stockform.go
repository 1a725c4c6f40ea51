package commands

// stockForm is one gel and what it is used on, in two lines.
func stockForm() *Form {
	return &Form{
		Title: "A gel you hold",
		Fields: []Field{
			{Name: productOption, Label: "Gel", Help: "as it is called on the box", Most: 100, Required: true},
			{Name: instrumentOption, Label: "Needles and cannulas you use it on",
				Help: "as in 27G 13 mm and 25G 38 mm cannula; one a line will do", Most: maxValue, Long: true},
		},
	}
}
