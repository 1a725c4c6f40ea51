package urgent

import (
	"slices"
	"strings"

	"holdbench/internal/spelling"
)

// What tells of harm by itself, in any spelling that is near enough.
var alone = strings.Fields(`occlusion occluded occlude occluding blanching blanched mottled mottling mottle
		blotchy blotches livedo dusky ischemia ischaemia ischaemic ischemic necrosis necrotic embolism embolus
		ambulance emergency anaphylaxis anaphylactic hyaluronidase hyalase unconscious collapsed fainted seizure
		cyanosed cyanotic reticular intravascular blotched necrosing`)

// everyday are words that a slip of one of those could be, and that are none.
var everyday = set(`conclusion conclusions inclusion inclusions exclusion exclusions occasion occasions occasional
		seclusion include included exclude excluded conclude concluded bottle bottles bottled botch notched dusty
		dusk branching branched bleaching bleached launching balancing balanced branch painted tainted emerge
		emergence necklace include including excluding concluding notches patchy blotting planted ranching`)

// phrases tell of harm as they stand.
var phrases = []string{
	"out of proportion", "out of all proportion", "tissue is dying", "skin is dying", "dead skin", "dead tissue",
	"gone blind", "going blind", "went blind", "is blind", "blind in", "lost vision", "lost sight",
	"lost her sight", "lost his sight", "losing vision", "loss of vision",
	"vision loss", "loss of sight", "vision gone", "vision has gone", "vision is gone", "vision went",
	"blurred vision", "blurry vision", "vision blurred", "vision is blurred", "vision blurry",
	"vision is blurry", "vision is going",
	"vision problem", "vision problems", "visual loss", "double vision", "vision changes", "visual changes",
	"visual disturbance", "eye pain", "eye went", "cannot move her eye", "cannot move his eye",
	"cannot breathe", "not breathing", "stopped breathing", "hard to breathe", "struggling to breathe",
	"throat closing", "passed out", "face drooping", "slurred speech", "having a stroke",
	"vascular compromise", "arterial compromise", "poss vo", "possible vo", "think vo", "a vo",
	"whitening along", "whitening of", "whitening around", "whitening on",
	"vascular event", "vascular accident", "cap refill", "capillary refill", "slow refill",
	"refill slow", "refill is slow", "no refill", "hit an artery", "hit the artery", "hit a vessel",
	"hit a big vessel", "injected an artery",
	"into an artery", "into the artery", "inside an artery", "inside the artery", "went intravascular",
	"intra arterial", "intraarterial", "injected into a vessel", "injected into the vessel",
	"injected a vessel",
	"blocked artery", "blocked vessel", "blocked an artery", "blocked a vessel", "blocked the vessel",
	"vessel blocked", "artery blocked", "artery is blocked", "lost colour", "lost color", "no blood flow",
	"no blood supply", "lost blood supply",
	"skin dying", "skin breaking down", "tissue dying", "white patch", "pale patch", "grey patch", "white area",
	"pale area", "blue patch", "purple patch", "white spot on her", "lacy pattern", "net pattern",
	"fishnet pattern",
	"allergic reaction", "need to dissolve", "dissolve it now", "call 999", "call 911", "call 112", "vision in",
	"eyesight", "see out of", "sight in", "vision change", "vision black", "vision dark", "purple net",
	"marbled",
	"droopy eye", "eyelid drooping", "eye drooping", "went numb", "gone numb", "completely numb", "discoloured",
	"discolored", "discolouration", "discoloration", "colour change", "skin colour",
}

// theory are words of a lesson: with them "in an artery" is talk about the matter.
var theory = []string{"does it mean", "what does", "does not mean", "would mean", "how likely", "chance",
	"chances", "the model", "tell if", "know if", "prove", "rule out"}

var (
	turned = set(`gone went going goes turned turning turns became becoming looks looking look is are was were has
		getting got stays staying still feels felt feel seems all now not`)
	change = set("gone went going goes turned turning turns became becoming")
	colour = set(`white grey pale blue purple bluish purplish ashen black cold mottled patchy blotchy bloodless
		cool icy waxy yellowish dark numb spotty marbled violet`)
	weak = set("cold cool dark black numb patchy icy") // of a person only beside a verb
	body = set(`lip lips nose nostril cheek cheeks face skin chin forehead temple brow glabella jaw eye eyes
		eyelid ear finger side she he her his him patient mouth alar ala nasolabial tissue philtrum cupid midface
		tongue hairline neck columella injection site where`)
	bench = set(`milk hub gel liquid cannula needle syringe film screen water paste tube plunger tip glycerol
		glycerine picture light lamp phone box wall room bench table colour coffee tea display card lid cap
		weather fridge freezer line text button paper sheet chart camera background video frame message discord
		hydra saline cover cloth bar wire weather lab clinic heating`)
)

func (l heard) harmed() bool {
	return l.aloneWord() || l.hasAny(phrases) && !l.sceneOfBench() || l.colourTurned() || l.cannotSee() || l.pain() || l.inArtery() || l.ailing()
}

func (l heard) aloneWord() bool {
	for _, w := range l.words {
		if len(w) < 5 || everyday[w] {
			continue
		}
		if slices.ContainsFunc(alone, func(sign string) bool { return once(sign) == once(w) }) {
			return true
		}
		most := 1
		if len(w) >= 8 {
			most = 2
		}
		if len(w) < 6 {
			most = 0
		}
		for _, sign := range alone {
			if d := spelling.Distance(w, sign, most); d <= most && (d == 0 || len(sign) >= 7) {
				return true
			}
		}
	}
	return false
}

// once is a word with no letter twice in a row.
func once(w string) string { return string(slices.Compact([]byte(w))) }

// sceneOfBench: a patch or a colour of a thing on the bench.
func (l heard) sceneOfBench() bool {
	return l.hasAny([]string{"of the chart", "on the chart", "on the film", "of the film", "on the picture",
		"in the picture", "on the hub", "hub colour", "of the hub", "on the box", "the colour change in the hub",
		"of the cap"})
}

// colourTurned reports whether a part of the body has changed colour. What stands
// nearest before the colour is what has it.
func (l heard) colourTurned() bool {
	for i, w := range l.words {
		if !colour[w] {
			continue
		}
		next := ""
		if i+1 < len(l.words) {
			next = l.words[i+1]
		}
		if bench[next] || next == "balance" || next == "paper" {
			continue
		}
		if i > 0 && (body[next] && !weak[w] || next == "skin") || i == 0 && body[next] {
			return true
		}
		verb, of := l.before(i)
		person := l.count(body) > 0
		switch {
		case of == "bench":
		case verb == "change" && (of == "body" || !weak[w] || person):
			return true
		case verb != "" && of == "body", verb == "" && of == "body" && !weak[w] && l.closeBody(i):
			return true
		case verb != "" && person && l.count(bench) == 0 && !weak[w]:
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
		if j >= i-4 && verb == "" && turned[w] {
			verb = "turned"
			if change[w] {
				verb = "change"
			}
		}
		switch {
		case bench[w]:
			return verb, "bench"
		case body[w] && !(j > 0 && (l.words[j-1] == "pellow")):
			return verb, "body"
		}
	}
	return verb, ""
}

// closeBody reports whether a part of the body stands at most three words before i.
func (l heard) closeBody(i int) bool {
	for j := i - 1; j >= 0 && j >= i-3; j-- {
		if body[l.words[j]] {
			return true
		}
	}
	return false
}

// twoSigns reports whether the colour at i stands beside another sign: "white and
// cold", "pale, painful".
func (l heard) twoSigns(i int) bool {
	signs := set("cold painful pain hurts sore numb tingling mottled")
	for j := i + 1; j < len(l.words) && j <= i+3; j++ {
		if signs[l.words[j]] && (j+1 >= len(l.words) || !bench[l.words[j+1]]) {
			return true
		}
	}
	return false
}

// cannotSee reports whether somebody's sight is gone. What cannot be seen on a film
// or in the hub is named behind the word.
func (l heard) cannotSee() bool {
	for i := 1; i < len(l.words); i++ {
		w := l.words[i]
		if w != "see" && w != "vision" && w != "sight" {
			continue
		}
		not := slices.Contains(l.words[max(0, i-3):i], "cannot") || slices.Contains(l.words[max(0, i-3):i], "no") && w != "see" || strings.Contains(strings.Join(l.words[max(0, i-4):i], " "), "can not")
		person := l.count(set("she he her his him patient eye eyes")) > 0
		end := i+1 == len(l.words) || l.words[i+1] == "." || set(`properly well clearly suddenly out from now
		anymore help after`)[l.words[i+1]]
		if not && (person && l.count(set(`film hub video picture flashback blood list button box`)) == 0 || end && i <= 6 && l.words[max(0, i-2)] != "i") {
			return true
		}
	}
	return false
}

var strongPain = set(`severe terrible awful sudden excruciating intense unbearable screaming agony crying extreme
		massive sharp burning throbbing huge horrible disproportionate bad worst worse`)

// pain reports whether somebody has more of it than an injection gives.
func (l heard) pain() bool {
	if l.hasAny([]string{"agony", "excruciating", "screaming in pain", "in a lot of pain", "in so much pain",
		"so much pain", "in severe pain", "crying in pain", "lots of pain", "hurts so much", "hurts a lot",
		"really hurts",
		"a lot of pain", "really painful", "very painful", "extremely painful", "so painful", "hurting badly",
		"hurts badly", "hurting a lot", "in pain"}) {
		return l.count(set("thumb wrist elbow log type typing")) == 0
	}
	return l.count(set("pain painful")) > 0 && l.count(strongPain) > 0 && l.count(set("thumb wrist elbow log type typing neck")) == 0
}

func (l heard) inArtery() bool {
	if l.count(set("artery arteries arterial vessel artry artary arterey")) == 0 {
		return false
	}
	if l.hasAny(theory) {
		return false
	}
	return l.hasAny([]string{"in the artery", "in an artery", "in artery", "in the artry", "in the artary",
		"in an artry", "i hit", "we hit", "i am in", "i was in", "we are in", "i injected", "we injected",
		"injected in", "think i am in", "went in the vessel", "it went in a vessel",
		"think i hit", "think it went", "must be in", "into a vessel", "into the vessel", "into a blood vessel",
		"into the blood vessel", "in the facial artery", "hit the facial", "hit facial", "nicked",
		"punctured", "in the vessel i think", "i got an artery"})
}

// ailments are what befalls a part of the body, by the part.
var ailments = []struct{ part, sign map[string]bool }{
	{set("eye eyes vision sight seeing eyesight"), set("dim dimmed blurry blurred blury double dark black gone going loss lost funny blind fading faded fuzzy hazy pain hurts painful swollen")},
	{set("tongue face throat lip lips eyelid mouth cheek"), set("swelling swollen drooping droops drooped droopy numb swelled ballooned ulcer blister blisters blistering")},
	{set("bruise bruising purple marks bruised blister blisters"), set("pain painful hurts net lacy spreading")},
	{set("she he her him patient"), set("dizzy breathless wheezing fitting unresponsive blind choking faint stroke")},
}

// ailing reports whether a part of the body and what befalls it are both named, and
// nothing of the bench.
func (l heard) ailing() bool {
	if l.hasAny(benchTalk) {
		return false
	}
	for _, a := range ailments {
		if l.count(a.part) > 0 && l.count(a.sign) > 0 {
			return true
		}
	}
	return false
}

var benchTalk = []string{"film", "hub", "video", "chart", "picture", "screen", "blind test", "double blind",
	"blinded", "button", "pellow lip", "going to", "going for"}
