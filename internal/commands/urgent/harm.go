package urgent

import (
	"slices"
	"strings"

	"holdbench/internal/spelling"
)

// What tells of harm by itself, in any spelling that is near enough.
var alone = strings.Fields(`occlusion occluded blanching blanched mottled mottling blotchy blotched livedo dusky
		ischemia ischaemia necrosis necrotic embolism ambulance emergency anaphylaxis anaphylactic hyaluronidase hyalase
		unconscious collapsed fainted seizure cyanosed reticular intravascular intraarterial agony excruciating ptosis slurred
		eyesight discoloured discoloration`)

// stems are beginnings, and abbreviations: a slip in one is another word.
var stems = set(`vo vao crt hyal hylase occl* blanch* mottl* blotch* isch* necro* embol* cyano* anaphyl* reticula*
		discolo* pustul* hives wheez* urticaria pulse`)

// everyday are words that a slip of a sign could be, and that are none.
var everyday = set(`conclusion conclusions inclusion inclusions exclusion exclusions occasion occasions occasional
		seclusion include included exclude excluded conclude concluded bottle bottles bottled botch notched dusty
		dusk branching branched bleaching bleached launching balancing balanced branch painted tainted emerge
		emergence necklace include including excluding concluding notches patchy blotting planted ranching`)

// phrases tell of harm as they stand.
var phrases = []string{"out of all proportion", "out of proportion", "see out of", "passed out", "not waking",
	"no blood flow", "blood supply", "intra arterial", "vision in", "sight in", "went numb", "gone numb",
	"completely numb", "in pain", "skin colour", "allergic reaction", "need to dissolve", "dissolve it now",
	"call 999", "call 911", "call 112", "throat closing", "possible va", "think va", "is blind", "blind in",
	"colour change", "no refill", "having fit", "having a fit",
	"will not open", "whitening along", "whitening of", "whitening around", "whitening on"}

// pairs tell of harm where a word of each half stands near one of the other: what is
// hurt, and what has befallen it.
var pairs = []pair{
	{set("vision visual* sight sees seeing"), set(`gone going went loss lost losing blur* blury double dim* dark
		black fad* fuzzy hazy problem* change* disturb* funny flashes spots`)},
	{set("eye eyes eyelid*"), set(`pain* hurt* sore swell* swoll* droop* blur* dim* fuzzy hazy lost went funny
		cannot double shut`)},
	{set("gone going went turned"), set("blind")},
	{set("cap capillary"), set("refil*")},
	{set("refil* perfusion circulation"), set("slow* poor delay* sluggish lost absent ages forever press*")},
	{set("pink pinking colour color"), set("press* return* lost losing loss coming")},
	{set("skin tissue"), set("dying dead breaking")},
	{set(`skin face lip lips nose chin cheek forehead her his patient`), set(`scab* slough* ulcer* blister*
		lacy lace net fishnet marble*`)},
	{set("colour lips nose skin"), set("ghost* funny weird strange")},
	{set("pattern purple"), set("lacy lace net fishnet marble*")},
	{set("tongue face throat lip lips mouth cheek"), set("swell* swoll* droop* numb* balloon* blister*")},
	{set("bruis* purple marks blister*"), set("pain* hurt* lacy spreading")},
	{person, set(`dizz* breathless fitting unresponsive blind chok* faint* sick vomit* confused limp complain*
		talking blacked lopsided crooked roll* tunnel`)},
	{set("stroke"), set("she he patient having think possible signs")},
	{set("breath*"), set("cannot not stopped hard struggling short difficulty")},
	{set("arm leg"), set("cannot weak droop*")},
	{set("pain* hurt* headache"), set(`severe terrible awful sudden intense unbearable scream* crying cries
		extreme* massive sharp burning throbbing huge horrible disproportionate bad* worst worse lot lots loads much so really
		very normal`)},
	{set("vascular vasc"), set("compromise event accident occ")},
}

// vessels are such pairs, too, but not in a lesson.
var vessels = []pair{
	{set("arter* vessel facial"), set("hit gone went into inside block* inject* nick* punctur* think")},
}

type pair struct{ of, sign words }

// near is how many words may stand between the halves of a pair.
const near = 5

// theory are words of a lesson: with them "in an artery" is talk about the matter.
var theory = []string{"does it mean", "does not mean", "would mean", "how likely", "chance",
	"chances", "the model", "tell if", "do i know if", "you know if", "prove", "rule out"}

var (
	turned = set(`gone went going goes turned turning turns became become becoming looks looking look is are was
		were has getting got stays staying still feels felt feel seems all now not`)
	change = set("gone went going goes turned turning turns became become becoming")
	colour = set(`white grey pale blue purple bluish purplish ashen black cold mottled patchy blotchy bloodless
		cool icy waxy yellowish dark numb spotty marbled violet`)
	weak = set("cold cool dark black numb patchy icy") // of a person only beside a verb
	body = set(`lip lips nose nostril cheek cheeks face skin chin forehead temple brow glabella jaw eye eyes
		eyelid ear finger side she he her his him patient mouth alar ala nasolabial mucosa tissue philtrum cupid midface
		tongue hairline neck columella injection site where`)
	person = set("she he her his him patient")
	patch  = set("patch patches area spot")
	bench  = set(`milk hub gel liquid cannula needle syringe film screen water paste tube plunger glycerol
		glycerine picture light lamp phone box wall room bench table colour coffee tea display card lid cap
		weather fridge freezer line text button paper sheet chart camera background video frame message discord
		hydra saline cover cloth bar wire weather lab clinic heating row square`)
	// elsewhere are what a sign belongs to where nobody is hurt: the bench, a screen, one's own hand.
	elsewhere = set(`film video chart picture screen button bench milk tube thumb wrist elbow typing blinded
		box`)
)

func (l heard) harmed() bool {
	return l.aloneWord() || l.colourTurned() || l.cannotSee() || l.unwell() || l.bare(set("stroke blind numb")) ||
		!l.isElsewhere() && (l.hasAny(phrases) || l.paired(pairs) || l.inVessel())
}

// inVessel reports whether a vessel was met. An artery is named for no other reason, outside a lesson.
func (l heard) inVessel() bool {
	return !l.hasAny(theory) && (l.paired(vessels) ||
		l.count(set("arter*")) > 0 && l.count(set("how where what which why does runs would worth")) == 0)
}

// unwell reports whether somebody has changed or complains, in whatever words, and
// nothing says that all is well or that it is about a thing.
func (l heard) unwell() bool {
	if l.count(bench)+l.count(elsewhere) > 0 || l.count(set("ok okay fine good well happy home with wants how s")) > 0 {
		return false
	}
	for i, w := range l.words {
		if set("went became complain* feels looks unable answer* respon*").has(w) &&
			slices.ContainsFunc(l.words[max(0, i-3):i], set("she he her patient").has) {
			return true
		}
	}
	return false
}

// isElsewhere reports whether the signs belong to a thing, with nobody named.
func (l heard) isElsewhere() bool {
	return l.count(elsewhere) > 0 && l.count(person) == 0 ||
		l.hasAny([]string{"blind test", "double blind", "hub colour", "of the hub", "of the cap"})
}

// paired reports whether both halves of a pair stand near each other.
func (l heard) paired(list []pair) bool {
	for _, p := range list {
		for i, w := range l.words {
			if p.of.has(w) && slices.ContainsFunc(l.words[max(0, i-near-1):min(len(l.words), i+near+2)], p.sign.has) {
				return true
			}
		}
	}
	return false
}

// aloneWord reports whether a sign needs no other word. An occluded needle on the bench is none.
func (l heard) aloneWord() bool {
	if slices.Contains(l.words, "bench") && l.count(body) == 0 {
		return false
	}
	return slices.ContainsFunc(l.words, func(w string) bool {
		if everyday.has(w) {
			return false
		}
		return stems.has(w) || slices.ContainsFunc(alone, func(sign string) bool { return slip(w, sign) })
	})
}

// slip reports whether a word is a sign, or could be one with a slip of the finger or two.
func slip(w, sign string) bool {
	most := 0
	switch {
	case len(w) < 5:
		return false
	case len(w) >= 8:
		most = 2
	case len(w) >= 6:
		most = 1
	}
	d := spelling.Distance(w, sign, most)
	return once(w) == once(sign) || d == 0 || d <= most && len(sign) >= 7
}

// once is a word with no letter twice in a row.
func once(w string) string { return string(slices.Compact([]byte(w))) }

// colourTurned reports whether a part of the body has changed colour. What stands
// nearest before the colour is what has it.
func (l heard) colourTurned() bool {
	for i, w := range l.words {
		if !colour.has(w) {
			continue
		}
		next := ""
		if i+1 < len(l.words) {
			next = l.words[i+1]
		}
		if bench.has(next) || next == "balance" || next == "paper" {
			continue
		}
		if body.has(next) && (i == 0 || !weak.has(w) || next == "skin") || patch.has(next) && !l.isElsewhere() {
			return true
		}
		verb, of := l.before(i)
		named := l.count(body) > 0
		switch {
		case of == "bench":
		case verb == "change" && (of == "body" || !weak.has(w) || named):
			return true
		case of == "body" && (verb != "" || !weak.has(w) && slices.ContainsFunc(l.words[max(0, i-3):i], body.has)):
			return true
		case verb != "" && named && l.count(bench) == 0 && !weak.has(w):
			return true
		case l.twoSigns(i):
			return true
		}
	}
	return false
}

// before is the kind of verb that stands shortly before the colour at i, and what
// the nearest noun before it is.
func (l heard) before(i int) (verb, of string) {
	for j := i - 1; j >= 0 && j >= i-9; j-- {
		w := l.words[j]
		if w == "." && verb == "" && j < i-1 {
			break
		}
		if j >= i-4 && verb == "" && turned.has(w) {
			verb = "turned"
			if change.has(w) {
				verb = "change"
			}
		}
		switch {
		case bench.has(w):
			return verb, "bench"
		case body.has(w):
			return verb, "body"
		}
	}
	return verb, ""
}

// twoSigns reports whether the colour at i stands beside another sign: "white and
// cold", "pale, painful".
func (l heard) twoSigns(i int) bool {
	signs := set("cold painful pain hurts sore numb tingling mottled")
	for j := i + 1; j < len(l.words) && j <= i+3; j++ {
		if signs.has(l.words[j]) && (j+1 >= len(l.words) || !bench.has(l.words[j+1])) {
			return true
		}
	}
	return false
}

// cannotSee reports whether somebody's sight is gone. What cannot be seen on a film
// or in the hub is named behind the word.
func (l heard) cannotSee() bool {
	of := l.count(person)+l.count(set("eye eyes")) > 0 &&
		l.count(set("film hub video picture flashback blood list button box")) == 0
	for i, w := range l.words {
		before := l.words[max(0, i-3):i]
		not := slices.Contains(before, "cannot") || slices.Contains(before, "no") && w != "see"
		if !not || !set("see vision sight").has(w) {
			continue
		}
		end := i+1 == len(l.words) || set(`. properly well clearly suddenly out from now anymore help
			after`).has(l.words[i+1])
		if of || end && i <= 6 && l.words[max(0, i-2)] != "i" {
			return true
		}
	}
	return false
}
