package trade

import (
	"cmp"
	"strings"

	"holdbench/internal/calc"
)

// Product is a gel on the community's list.
type Product struct {
	ID           int64
	Number       int64 // the community's own: 1, 2, 3 as added; 0 not stored
	Name         string
	Class        calc.GelClass // calc.UnknownGel if empty
	Aliases      []string      // other names, the most usual first
	FirstStocked string        // day, 2006-01-02; "" not recorded
	RetiredOn    string        // day since which it is no longer suggested; "" still on the list
}

// MostAliases is how many other names a product may have.
const MostAliases = 20

// Validate returns a *FieldError unless p could be a product.
func (p Product) Validate() error {
	if err := CheckName("product name", p.Name, LongestName); err != nil {
		return err
	}
	if !p.Class.Valid() {
		return Refuse("gel class", "%q is not one of %s", p.Class, Listed(calc.GelClasses()))
	}
	if err := cmp.Or(optionalDay("first stocked", p.FirstStocked), optionalDay("retired on", p.RetiredOn)); err != nil {
		return err
	}
	if len(p.Aliases) > MostAliases {
		return Refuse("alias", "there are more than %d", MostAliases)
	}
	keys := map[string]bool{Fold(p.Name): true}
	for _, alias := range p.Aliases {
		if err := CheckName("alias", alias, LongestName); err != nil {
			return err
		}
		if strings.Contains(alias, AliasBreak) {
			return Refuse("alias", "%q has a semicolon, which separates aliases in files", alias)
		}
		if keys[Fold(alias)] {
			return Refuse("alias", "%q is there twice", alias)
		}
		keys[Fold(alias)] = true
	}
	return nil
}

// Filled puts in what was left out and tidies the spacing.
func (p Product) Filled() Product {
	p.Name, p.FirstStocked = Tidy(p.Name), strings.TrimSpace(p.FirstStocked)
	if p.Class == "" {
		p.Class = calc.UnknownGel
	}
	var aliases []string
	for _, alias := range p.Aliases {
		aliases = append(aliases, Tidy(alias))
	}
	p.Aliases = aliases
	return p
}

// AliasBreak separates aliases in a cell of a file.
const AliasBreak = ";"

// GoesBy reports whether a name is one of the product's.
func (p Product) GoesBy(name string) bool {
	for _, known := range append([]string{p.Name}, p.Aliases...) {
		if Fold(known) == Fold(name) {
			return true
		}
	}
	return false
}

// Diluted reports whether the product is a diluted paste.
func (p Product) Diluted() bool { return p.Class == calc.DilutedCaHA }
