package question

// betweenSyringe are the words that may stand between the volume of a syringe
// and the word for it.
var betweenSyringe = list("between syringe")

// readVolumes settles what the volumes that are no pull mean: the size of a
// fixed-needle syringe, or an amount of gel, which is nobody's set-up.
func (s *scan) readVolumes() {
	for i := range s.quantities {
		q := &s.quantities[i]
		ml, ok := volumeML(*q)
		bareSize := !ok && q.bare() && !q.spelled && s.ix.fixedVolume(q.value) && q.value < 1
		if q.used || !ok && !bareSize {
			continue
		}
		if bareSize {
			ml = q.value
		}
		switch {
		case s.syringe.fixed && s.besideFixed(*q):
			q.used = true
			s.syringe.volumes = addOnce(s.syringe.volumes, ml)
		case bareSize:
			if !s.syringe.fixed && s.insulinSized(ml) && s.atEdge(*q) {
				s.syringe.doubtful = addOnce(s.syringe.doubtful, ml)
			}
		case !s.syringe.fixed:
			q.used = true
			s.readLooseVolume(*q, ml)
		default:
			q.used = true
			if s.ix.fixedVolume(ml) && !s.ofGel(*q) {
				s.syringe.doubtful = addOnce(s.syringe.doubtful, ml)
			}
		}
	}
}

// besideFixed reports whether q stands next to the words for a fixed-needle
// syringe.
func (s *scan) besideFixed(q amount) bool {
	for _, span := range s.syringe.spans {
		if span[0] >= q.to && s.onlyBetween(q.to, span[0]) ||
			q.from >= span[1] && s.onlyBetween(span[1], q.from) && !s.ofGel(q) {
			return true
		}
	}
	return false
}

// onlyBetween reports whether at most three tokens, none of them telling,
// stand from … to-1.
func (s *scan) onlyBetween(from, to int) bool {
	if to-from > 3 {
		return false
	}
	for i := from; i < to; i++ {
		if !betweenSyringe[s.text(i)] && !s.isMark(i, "-,(") && s.roles[i] != syringed {
			return false
		}
	}
	return true
}

// ofGel reports whether q is an amount of something: "0.1 ml of …", or right
// before a name.
func (s *scan) ofGel(q amount) bool {
	next := s.text(q.to)
	return next == "of" || next == "per" || s.has(q.to) && s.toks[q.to].is == word && s.ix.knowsWord(next)
}

// largestSupplied is the volume, mL, of the largest syringes that gel comes in
// (common practice, no source).
const largestSupplied = 2

// readLooseVolume weighs a volume with no word for a fixed needle near it. The
// volume of a syringe that only comes with a fixed needle is one ("3/10 cc",
// "0.3 ml syringe"); where gel, too, comes in such syringes, or where it could
// be an amount, it stays open. 1 mL is how gel is sold: supplied.
func (s *scan) readLooseVolume(q amount, ml float64) {
	next := s.text(q.to)
	isSyringe := next == "syringe" || next == "syringes"
	if isSyringe && !s.ix.fixedVolume(ml) && (ml < 1 || ml > largestSupplied) {
		s.syringe.other = true
	}
	if !s.ix.fixedVolume(ml) || ml >= 1 || s.ofGel(q) {
		return
	}
	insulinSpeech := q.fraction && !q.spelled && ml < 0.5 // 3/10 cc: nobody measures gel so
	switch {
	case (isSyringe || insulinSpeech) && ml < 0.5:
		s.syringe.fixed = true
		s.syringe.volumes = addOnce(s.syringe.volumes, ml)
	case isSyringe:
		s.syringe.doubtful = addOnce(s.syringe.doubtful, ml)
	case s.insulinSized(ml) && s.atEdge(q):
		s.syringe.doubtful = addOnce(s.syringe.doubtful, ml)
	}
}

// insulinSized reports whether the needle is one that an insulin syringe of
// this volume carries: 29G or finer, up to 13 mm with the smallest syringe and
// up to 8 mm with others, and no cannula (common practice, no source).
func (s *scan) insulinSized(ml float64) bool {
	longest := 8.
	if ml < 0.5 {
		longest = 13
	}
	for _, g := range s.gauges {
		if g < 29 {
			return false
		}
	}
	for _, l := range s.lengths {
		if l.options[0] > longest {
			return false
		}
	}
	return !s.kinds.cannula && len(s.gauges) > 0
}

// atEdge reports whether q stands beside the needle's size with no
// punctuation between, where a syringe would be named.
func (s *scan) atEdge(q amount) bool {
	size := func(i int) bool { return s.has(i) && (s.roles[i] == measured || s.roles[i] == kinded) }
	return size(q.from-1) || size(q.to)
}
