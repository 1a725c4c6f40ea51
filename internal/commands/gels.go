package commands

import (
	"context"
	"fmt"
	"strings"

	"holdbench/internal/trade"
)

const productsName = "group gels"

var productsCommand = &Command{
	Name:     productsName,
	Summary:  "The gels on the group's list",
	Help:     "Lists the gels with their class and the other names they go by. Part of a name narrows the list.",
	Free:     true,
	FreeHelp: "part of a name",
	Options:  []Option{pageNumber()},
	Who:      anyMember,
	Quick:    true,
	Examples: []string{"/group gels", "/group gels orrick"},
	Run:      runProducts,
}

func runProducts(_ context.Context, _ *Env, call *Call) (Card, error) {
	var found []trade.Product
	for _, p := range call.lists.Products {
		if contains(append([]string{p.Name}, p.Aliases...), call.Text) {
			found = append(found, p)
		}
	}
	if len(found) == 0 && call.Text != "" {
		return Card{}, refuse("/"+productsName+" alone lists all.", "No gel on the group's list has %s in its name.",
			echo(call.Text))
	}
	return productsCard(call, found)
}

func productsCard(call *Call, found []trade.Product) (Card, error) {
	c := Card{Title: fmt.Sprintf("Gels on the group's list: %d", len(found))}
	var rows []Fact
	for _, p := range found {
		also := ""
		if len(p.Aliases) > 0 {
			also = "also " + strings.Join(p.Aliases, ", ")
		}
		rows = append(rows, Fact{p.Name, joinNonEmpty("; ", string(p.Class), also, retiredWords(p.RetiredOn))})
	}
	_, err := call.paged(&c, rows)
	return c, err
}

// retiredWords says since when something of a list is out of use, "" where it is in use.
func retiredWords(since string) string {
	if since == "" {
		return ""
	}
	return "retired " + since
}
