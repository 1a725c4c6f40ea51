package question

// negators deny what follows them; fillers may stand between.
var (
	negators        = list("negators")
	negationFillers = list("negation fillers")
	allBut          = list("all but") // … but Orrick Firm
)

// denyWords say of two things which one is not meant, except behind one of the open words: "why not a cannula".
var (
	denyWords  = list("deny words")
	openBefore = list("open before")
)

// negatedAt reports whether token i is denied.
func (s *scan) negatedAt(i int) bool {
	j := s.negatorOf(i)
	if s.word(j) == "but" {
		return allBut[s.text(j-1)]
	}
	return negators[s.word(j)]
}

// deniedFrom returns the token that denies token i as plainly as "not", or -1.
func (s *scan) deniedFrom(i int) int {
	j := s.negatorOf(i)
	if !denyWords[s.word(j)] || openBefore[s.text(j-1)] {
		return -1
	}
	return j
}

// negatorOf returns the token before i and its fillers, which may deny it.
func (s *scan) negatorOf(i int) int {
	j := i - 1
	for n := 0; n < 4 && s.has(j) && (negationFillers[s.text(j)] && !negators[s.text(j)] ||
		s.roles[j] != free && s.roles[j] == s.roles[i]); n++ {
		j--
	}
	return j
}

// checkNegation notes whether a gauge, a length, a kind, a wall or a syringe is denied.
func (s *scan) checkNegation() {
	deniesNeedle, deniesCannula := false, false
	for i, r := range s.roles {
		if i > 0 && s.roles[i-1] == r || !s.negatedAt(i) {
			continue
		}
		switch {
		case r == syringed:
			s.syringe.negated, s.syringe.fixed = true, false
		case r == kinded && (s.deniedFrom(i) >= 0 || s.kinds.needle && s.kinds.cannula && !s.kinds.asked):
			cannula := s.text(i) == "blunt" || isCannula(s.text(i))
			deniesNeedle, deniesCannula = deniesNeedle || !cannula, deniesCannula || cannula
		case r == measured && s.isSize(i), r == kinded, r == walled:
			s.negated = true
		}
	}
	switch {
	case deniesNeedle && deniesCannula, s.kinds.asked && (deniesNeedle || deniesCannula):
		s.negated = true
	case deniesNeedle || deniesCannula:
		s.kinds.needle, s.kinds.cannula = deniesCannula, deniesNeedle
	}
}

// isSize reports whether token i belongs to a gauge or a length.
func (s *scan) isSize(i int) bool {
	q, ok := s.quantityWith(i)
	return ok && isSize(q)
}
