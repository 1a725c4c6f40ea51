package commands

import (
	"context"
	"slices"
	"unicode/utf8"

	"holdbench/internal/commands/urgent"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// Suggest offers values for an option of a command while it is being typed, at most 25, the likeliest first. There are
// none for an option without suggestions, nor for an asker who may not use the command.
func Suggest(ctx context.Context, env *Env, req Request, option, typed string) ([]string, error) {
	cmd := find(catalogue, req.Command)
	if cmd == nil || !req.Asker.Role.Covers(cmd.Who) {
		return nil, nil
	}
	o := cmd.option(option)
	if o == nil || o.Suggest == nil || utf8.RuneCountInString(typed) > maxValue || env.hear(typed) != urgent.None {
		return nil, nil
	}
	return o.Suggest(ctx, env, req, typed)
}

// candidate is a name that may be suggested, and what counts for it, the weightiest first.
type candidate struct {
	name    string
	reasons [4]int
}

// likeliest are the names of the candidates, the likeliest first, equal ones in the order given. Those far from what
// was typed are left out.
func likeliest(all []candidate) []string {
	all = slices.DeleteFunc(all, func(c candidate) bool { return c.reasons[0] == farOff })
	slices.SortStableFunc(all, func(a, b candidate) int { return slices.Compare(b.reasons[:], a.reasons[:]) })
	var names []string
	for _, c := range all {
		names = append(names, c.name)
	}
	return first(names)
}

// namesInUse are the group's lists, and how much the asker and the group use what is on them.
func namesInUse(ctx context.Context, env *Env, asker Asker) (v *knowledge.Vocabulary, own, group *usage, err error) {
	if v, err = env.Group.Vocabulary(ctx); err != nil {
		return nil, nil, nil, err
	}
	if group, err = env.usageOf(ctx, groupUsageKey); err != nil || asker.Ref == groupUsageKey {
		return v, newUsage(), group, err
	}
	own, err = env.usageOf(ctx, asker.Ref)
	return v, own, group, err
}

// suggestProducts goes by how near the name is, then how much the asker uses it, then how much the group does.
func suggestProducts(ctx context.Context, env *Env, req Request, typed string) ([]string, error) {
	v, own, group, err := namesInUse(ctx, env, req.Asker)
	if err != nil {
		return nil, err
	}
	var all []candidate
	for _, p := range v.Products {
		if p.RetiredOn != "" && req.Command != retireGelName { // which can bring it back
			continue
		}
		near := closeness(append([]string{p.Name}, p.Aliases...), typed)
		all = append(all, candidate{p.Name, [4]int{near, own.products[p.ID], group.products[p.ID], 0}})
	}
	return likeliest(all), nil
}

// suggestInstruments offers what the asker uses with the gel already named, what the asker uses at all, what the group
// uses, the rest of the group's list, and then the sizes that the trade sells.
func suggestInstruments(ctx context.Context, env *Env, req Request, typed string) ([]string, error) {
	v, own, group, err := namesInUse(ctx, env, req.Asker)
	if err != nil {
		return nil, err
	}
	product, _ := v.Product(req.value(productOption)) // if none is named yet its ID is 0, which is used with nothing
	var all []candidate
	for _, i := range v.Instruments {
		if !contains([]string{i.Name()}, typed) || i.RetiredOn != "" && req.Command != retireNeedleName {
			continue
		}
		all = append(all, candidate{i.Name(), [4]int{
			1 + own.of[[2]int64{product.ID, i.ID}], own.instruments[i.ID], group.of[[2]int64{product.ID, i.ID}],
			group.instruments[i.ID],
		}})
	}
	names := likeliest(all)
	for _, size := range soldSizes() {
		if _, listed := v.Instrument(size); !listed && contains([]string{size.Name()}, typed) {
			names = append(names, size.Name())
		}
	}
	return first(names), nil
}

// suggestSyringes offers what the asker uses, then what the group uses.
func suggestSyringes(ctx context.Context, env *Env, req Request, typed string) ([]string, error) {
	v, own, group, err := namesInUse(ctx, env, req.Asker)
	if err != nil {
		return nil, err
	}
	var all []candidate
	for _, s := range v.Syringes {
		if contains([]string{s.Name}, typed) && (s.RetiredOn == "" || req.Command == retireSyringeName) {
			all = append(all, candidate{s.Name, [4]int{1, own.syringes[s.ID], group.syringes[s.ID], 0}})
		}
	}
	return likeliest(all), nil
}

// soldSizes are needles and cannulas that are sold in most places (practice, no source), the commonest first. A pick
// list takes 25.
func soldSizes() []trade.Instrument {
	needle := func(gauge int, mm float64) trade.Instrument {
		return trade.Instrument{Kind: trade.Needle, Gauge: gauge, LengthMM: mm}
	}
	cannula := func(gauge int, mm float64) trade.Instrument {
		return trade.Instrument{Kind: trade.Cannula, Gauge: gauge, LengthMM: mm}
	}
	return []trade.Instrument{
		needle(30, 13), needle(27, 13), needle(29, 13), needle(30, 4), needle(30, 8), needle(31, 8), needle(32, 4),
		needle(33, 9), needle(27, 19), needle(25, 16), needle(32, 13), needle(33, 13), needle(34, 8), needle(30, 25),
		cannula(25, 38), cannula(27, 38), cannula(25, 50), cannula(22, 50), cannula(22, 70), cannula(27, 25),
		cannula(23, 50),
	}
}
