package knowledge

import (
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// listCases has the calls of [cases] for the methods that keep the lists in order.
func listCases(t *testing.T) map[string]func(g *Group, r rows) string {
	ctx, by := t.Context(), Member{Ref: "osier"}
	return map[string]func(g *Group, r rows) string{
		"Undoable": func(g *Group, r rows) string { return wrote(g.Undoable(ctx)) },
		"UndoChange": func(g *Group, r rows) string {
			text := wrote(g.SetClass(ctx, r.product, calc.UncrosslinkedHA, by, ""))
			for number := range int64(6) {
				text += wrote(g.UndoChange(ctx, number, by))
			}
			return text + wrote(g.UndoChange(ctx, 2, Member{ID: r.member}))
		},
		"PlanMerge": func(g *Group, r rows) string { return wrote(g.PlanMerge(ctx, r.product, r.merged)) },
		"AddProductBy": func(g *Group, r rows) string {
			return wrote(g.AddProductBy(ctx, trade.Product{Name: "Brackley Sheer"}, Member{ID: r.member})) +
				wrote(g.AddProductBy(ctx, trade.Product{Name: "Brackley Gloss"}, by, r.product))
		},
		"DropAlias":     func(g *Group, r rows) string { return wrote(g.DropAlias(ctx, r.product, "o mid", by)) },
		"RetireProduct": func(g *Group, r rows) string { return wrote(g.RetireProduct(ctx, r.product, false, by, "")) },
		"AddInstrumentBy": func(g *Group, r rows) string {
			return wrote(g.AddInstrumentBy(ctx, needle(32, 4), by)) +
				wrote(g.AddInstrumentBy(ctx, needle(33, 4), Member{ID: r.member}))
		},
		"CorrectInstrument": func(g *Group, r rows) string {
			return wrote(g.CorrectInstrument(ctx, r.instrument, by, "",
				func(i *trade.Instrument) error { i.BoreMM = 0.25; return nil }))
		},
		"RetireInstrument": func(g *Group, r rows) string { return wrote(g.RetireInstrument(ctx, r.instrument, false, by, "")) },
		"AddSyringeBy": func(g *Group, r rows) string {
			return wrote(g.AddSyringeBy(ctx, trade.Syringe{Name: "7 mL", VolumeML: 7}, by)) +
				wrote(g.AddSyringeBy(ctx, trade.Syringe{Name: "8 mL", VolumeML: 8}, Member{ID: r.member}))
		},
		"CorrectSyringe": func(g *Group, r rows) string {
			return wrote(g.CorrectSyringe(ctx, r.syringe, by, "",
				func(s *trade.Syringe) error { s.GasML = 0.09; return nil }))
		},
		"RetireSyringe": func(g *Group, r rows) string { return wrote(g.RetireSyringe(ctx, r.syringe, false, by, "")) },
		"CheckProductName": func(g *Group, r rows) string {
			return wrote(nil, g.CheckProductName(ctx, r.product, "only В")) +
				wrote(nil, g.CheckProductName(ctx, 0, "Pellоw B"))
		},
		"TellApart": func(g *Group, r rows) string {
			return wrote(nil, g.TellApart(ctx, r.product, r.second, by, "")) +
				wrote(nil, g.TellApart(ctx, r.product, r.second, Member{ID: r.member}, ""))
		},
		"NeedlesWithoutWall": func(g *Group, r rows) string { return wrote(g.NeedlesWithoutWall(ctx)) },
		"ChangeSettings": func(g *Group, r rows) string {
			return wrote(nil, g.ChangeSettings(ctx, Member{ID: r.member},
				func(to *Settings) error { to.Ceiling = 12; return nil }))
		},
		"ForgetMember": func(g *Group, r rows) string {
			return wrote(g.ForgetMember(ctx, Member{ID: r.member}, by)) +
				wrote(g.ForgetMember(ctx, Member{Ref: "member of B"}, by))
		},
	}
}
