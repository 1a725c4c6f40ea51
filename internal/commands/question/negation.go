package question

// negators turn round what follows them, with nothing but fillers between.
var (
	negators = set(`not no never without except excluding instead rather avoid isnt arent wasnt werent dont doesnt didnt cant cannot wont
		havent hasnt hadnt aint nor neither unlike than similar equivalent alternative comparable substitute replacement minus out`)
	negationFillers = set(`of than to using use used with on the a an any my our have having got in like doing mean meant want wanted it is
		that this for as from more`)
	allBut = set("anything everything any all nothing") // … but Orrick Firm
)

// negatedAt reports whether token i stands under a "not".
func (s *scan) negatedAt(i int) bool {
	j := i - 1
	for n := 0; n < 4 && s.has(j) && (negationFillers[s.text(j)] && !negators[s.text(j)] || s.roles[j] != free && s.roles[j] == s.roles[i]); n++ {
		j--
	}
	if s.word(j) == "but" {
		return allBut[s.text(j-1)]
	}
	return negators[s.word(j)]
}

// checkNegation notes whether a gauge, a length, a kind, a wall or a syringe
// stands under a "not".
func (s *scan) checkNegation() {
	for i, r := range s.roles {
		if i > 0 && s.roles[i-1] == r || !s.negatedAt(i) {
			continue
		}
		switch {
		case r == syringed:
			s.syringe.negated, s.syringe.fixed = true, false
		case r == measured && s.isSize(i), r == kinded, r == walled:
			s.negated = true
		}
	}
}

// isSize reports whether token i belongs to a gauge or a length.
func (s *scan) isSize(i int) bool {
	q, ok := s.quantityWith(i)
	return ok && isSize(q)
}
