package question

// Product names borrow ordinary words, and ordinary sentences use them as
// ordinary words: "a deep injection of Orrick Mid", "soft tissue". The sets
// here tell the two uses apart by the word before and the word after.
var (
	// ordinaryLeaders make the word after them an ordinary one: "too deep".
	ordinaryLeaders = set(`too very so how quite really is be its was are were feel feels felt look looks looked go goes going went
		inject injects injecting injected placed place places placing stay stays upper lower top bottom her his their
		jaw jawline chin cheek nose face facial lip lips more less bit nice lovely fairly pretty stays anatomically`)

	// ordinaryFollowers make the word before them an ordinary one: "deep plane".
	ordinaryFollowers = set(`tissue tissues injection injections injecting bolus boluses plane planes fat dermis dermal subcut subcutaneous
		bone bony into in to under layer layers depth enough than line lines wrinkle wrinkles border borders flip body corner corners
		edge skin touch pressure grip hand hands face facial facials cheek cheeks day days afternoon morning week section third
		lip lips chin jaw jawline forehead of the my her his their your a filler fillers gel gels augmentation enhancement treatment
		treatments needle needles gauge work procedure volume shape artery arteries compartment compartments pocket placement
		area areas bits muscle vessel vessels temple temples nose fold folds thirds palate spot spots pass passes thanks if`)
)

// ordinaryPairs are words that make an ordinary expression with the last word
// of a name: "Orrick Mid face" may be Orrick for the mid-face.
var ordinaryPairs = map[string]map[string]bool{
	"mid":  set("face facial cheek cheeks day dermis dermal afternoon morning week section third thirds line treatment session lip chin forehead"),
	"soft": set("tissue tissues skin palate spot touch lip lips"),
	"fine": set("line lines wrinkle wrinkles hair detail details lip lips"),
	"deep": set("fat plane tissue tissues dermis injection injections bolus layer layers line lines fold folds"),
	"lip":  set("border borders line lines flip body corner corners edge contour augmentation enhancement artery volume shape"),
	"firm": set("skin pressure touch tissue grip chin jaw"),
}

// ordinaryUse reports whether the word at i is used as an ordinary one.
func (s *scan) ordinaryUse(i int) bool {
	before, after := s.attached(i, -1), s.attached(i, 1)
	return before >= 0 && ordinaryLeaders[s.text(before)] || after >= 0 && ordinaryFollowers[s.text(after)]
}

// linkWords may stand beside a name of one word. Any other word beside it may
// belong to a longer name: "Hydra Boost".
var linkWords = set(`on in with w via through using use used at by for and or vs versus is are was has have how hold holds holding held
	time wait does do can will should would please pls plz thanks of to from aspirate aspirating aspiration test tested tests if when
	today now this that gel filler product again still also then my the a an what whats about as but so got any who just shows show
	showing flashback ok okay enough up into hi hello hey long try trying i we you me it patient pt not no than instead same
	needle cannula syringe s`)

// linked reports whether the neighbour of token i on one side leaves the word
// at i alone: nothing there, punctuation, a measure, or a link word.
func (s *scan) linked(i, step int) bool {
	j := s.attached(i, step)
	return j < 0 || s.roles[j] != free && !s.isPlainPart(j) || s.toks[j].form != word || linkWords[s.toks[j].text]
}

// nameLike reports whether the ordinary words of a plain name stand where a
// name would: "for deep, 27G 13 mm".
func (s *scan) nameLike(m mention) bool {
	return s.linked(m.first(), -1) && s.linked(m.last(), 1) && !s.ordinaryUse(m.first()) && !s.ordinaryUse(m.last())
}

// attached returns the token next to i in the direction of step, if only
// hyphens, quotation marks or words about dilution stand between; else -1.
func (s *scan) attached(i, step int) int {
	j := i + step
	for s.has(j) && (s.roles[j] == diluted || s.isMark(j, `"'`) || s.isMark(j, "-") && (s.glued(j) || s.glued(j+1))) {
		j += step
	}
	if !s.has(j) || s.toks[j].form == mark && !s.isMark(j, "/&+") {
		return -1
	}
	return j
}

// unknown reports whether the word at i is neither an ordinary one nor one
// that occurs in names, nor a slip of either.
func (s *scan) unknown(i int) bool {
	w := s.word(i)
	if len(w) < 2 || isOrdinary(w) || unitWords[w] != noUnit {
		return false
	}
	return !s.ix.knowsWord(w) && len(s.ix.options(w)) == 0 && len(s.ix.begunBy(w)) == 0
}
