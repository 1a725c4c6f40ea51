package question

import (
	"slices"
	"strings"

	"holdbench/internal/trade"
)

// supplied returns the group's entry for the syringe that the gel comes in.
func (ix *Index) supplied() trade.Syringe {
	for _, sy := range ix.syringes {
		if strings.EqualFold(sy.Name, trade.Supplied) {
			return sy
		}
	}
	for _, sy := range ix.syringes {
		if !sy.FixedNeedle {
			return sy
		}
	}
	return trade.Syringe{Name: trade.Supplied}
}

// fixedNeedles returns the group's fixed-needle syringes.
func (ix *Index) fixedNeedles() []trade.Syringe {
	return having(ix.syringes, func(sy trade.Syringe) bool { return sy.FixedNeedle })
}

// fixedOf returns the fixed-needle syringe of a volume: the group's own, or one
// of the usual volumes taken as stated.
func (ix *Index) fixedOf(ml float64) (trade.Syringe, bool) {
	for _, sy := range ix.fixedNeedles() {
		if sameVolume(sy.VolumeML, ml) {
			return sy, true
		}
	}
	for _, v := range insulinVolumes {
		if sameVolume(v, ml) {
			return trade.FixedNeedle(v), true
		}
	}
	return trade.Syringe{}, false
}

// movedWords tell that the gel is no longer in its own syringe.
var movedWords = list("moved words")

// readSyringe decides which syringe the text names: the supplied one if none. More than one option leaves it open.
func (s *scan) readSyringe() (options []trade.Syringe, problem string) {
	if s.syringe.negated || s.syringe.other {
		return append([]trade.Syringe{s.ix.supplied()}, s.ix.fixedNeedles()...), "Which syringe is meant is not clear."
	}
	said, problem := s.saidFixed()
	said = addOnce(said, s.syringe.named...)
	if s.syringe.supplied && len(said) > 0 {
		said, problem = append(said, s.ix.supplied()), "More than one syringe is named."
	}
	if len(s.syringe.doubtful) > 0 {
		said = addOnce(said, s.ix.supplied())
		for _, ml := range s.syringe.doubtful {
			if sy, ok := s.ix.fixedOf(ml); ok {
				said = addOnce(said, sy)
			}
		}
		problem = "Is that volume the syringe, or an amount of gel?"
	}
	if len(said) == 0 {
		said = []trade.Syringe{s.ix.supplied()}
		if slices.ContainsFunc(s.toks, func(t token) bool { return movedWords[t.text] }) {
			return append(said, s.ix.fixedNeedles()...), "Which syringe the gel was moved into is not clear."
		}
	}
	if len(said) > 1 && problem == "" {
		problem = "More than one syringe is named."
	}
	return said, problem
}

// saidFixed returns the fixed-needle syringes that the text may mean: those of the volumes that it names, or all if
// it names none.
func (s *scan) saidFixed() (said []trade.Syringe, problem string) {
	for _, ml := range s.syringe.volumes {
		sy, ok := s.ix.fixedOf(ml)
		if !ok {
			return append(s.ix.fixedNeedles(), s.ix.supplied()), "Which syringe is meant is not clear."
		}
		said = addOnce(said, sy)
	}
	switch {
	case len(said) > 1:
		return said, "More than one volume of syringe is named."
	case len(said) == 1 || !s.syringe.fixed:
		return said, ""
	}
	said = s.ix.fixedNeedles()
	for _, ml := range insulinVolumes {
		if sy, _ := s.ix.fixedOf(ml); len(s.ix.fixedNeedles()) == 0 {
			said = append(said, sy)
		}
	}
	return said, "Fixed-needle syringes come in several volumes."
}
