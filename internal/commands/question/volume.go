package question

// betweenSyringe may stand between the volume of a syringe and the word for it.
var betweenSyringe = list("between syringe")

// readVolumes decides what the volumes that are no pull mean: the size of a fixed-needle syringe, or an amount of
// gel, which is no part of a set-up.
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

// besideFixed reports whether q stands beside a word for a fixed-needle syringe.
func (s *scan) besideFixed(q amount) bool {
	for _, span := range s.syringe.spans {
		if span[0] >= q.to && s.onlyBetween(q.to, span[0]) ||
			q.from >= span[1] && s.onlyBetween(span[1], q.from) && !s.ofGel(q) {
			return true
		}
	}
	return false
}

// onlyBetween reports whether the tokens from … to-1 are at most three that may stand between a volume and its syringe.
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

// ofGel reports whether q is an amount of gel: "0.1 ml of …", or right before a name.
func (s *scan) ofGel(q amount) bool {
	next := s.text(q.to)
	return next == "of" || next == "per" || s.has(q.to) && s.toks[q.to].is == word && s.ix.knowsWord(next)
}

// largestSupplied is the volume, mL, of the largest syringes that gel comes in (common practice, no source).
const largestSupplied = 2

// readLooseVolume reads a volume in a text without a word for a fixed needle. It is a fixed-needle syringe if only
// those come in it ("3/10 cc", "0.3 ml syringe"). It stays open if gel comes in it too or if it could be an amount. 1
// mL is how gel is sold.
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

// insulinSized reports whether the needle is one of an insulin syringe of this volume: 29G or finer, up to 13 mm on the
// smallest syringe and up to 8 mm on others (common practice, no source).
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
	return len(s.gauges) > 0 && !s.kinds.cannula
}

// atEdge reports whether q stands right beside the needle's size, where a syringe would be named.
func (s *scan) atEdge(q amount) bool {
	size := func(i int) bool { return s.has(i) && (s.roles[i] == measured || s.roles[i] == kinded) }
	return size(q.from-1) || size(q.to)
}
