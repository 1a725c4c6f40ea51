package urgent

// owner is what a sign belongs to.
type owner int8

const (
	nobody owner = iota // nothing that is named
	aBody               // a person, or a part of the body
	aThing              // the bench, a tool, a screen: it is no sign then
)

// How far from a sign its owner is looked for, how far a "no" reaches, and how long a name is, in tokens.
const (
	farBefore   = 9
	farBehind   = 7
	reachOfNo   = 4
	longestName = 8
)

// leaveNames removes the signs that are part of a name: "add White Cheek Clinic as a community".
func (m *heard) leaveNames() {
	b := m.bits
	for i := range m.tokens {
		if m.tokens[i].is&b["role"] == 0 {
			continue
		}
		for j := i - 1; j >= 0 && j >= i-longestName && m.tokens[j].is&b["mark"] == 0; j-- {
			m.tokens[j].is &^= b["telling"]
		}
	}
}

// own finds what every sign belongs to, and removes those that are denied or a thing's.
func (m *heard) own() {
	b := m.bits
	denied := 0 // how many tokens a "no" still reaches
	for i := range m.tokens {
		t := &m.tokens[i]
		switch {
		case t.is&b["no"] != 0:
			denied = reachOfNo
		case t.is&(b["mark"]|b["but"]) != 0:
			denied = 0
		case t.is&b["well"] != 0 && i > 0 && m.tokens[i-1].denies: // "no ve bien"
			t.is = 0
		case t.is&b["deniable"] != 0 && denied > 0:
			denied = 0
			if i+1 < len(m.tokens) && m.tokens[i+1].is&b["or"] != 0 {
				denied = reachOfNo
			}
			t.is = 0
		case t.is&b["red"] != 0 && m.heads(i) == aThing: // a red hub is a colour code
			t.is = 0
		case t.is&b["sign"] != 0:
			if t.owner = m.ownerOf(i); t.owner == aThing {
				t.is &^= b["sign"]
			}
		}
		denied = max(0, denied-1)
	}
}

// ownerOf is what the sign at i belongs to: what it stands before ("white lip"), what it is on ("white on the lip"),
// or the nearest before it.
func (m *heard) ownerOf(i int) owner {
	b := m.bits
	behind := m.place(i)
	if o := m.heads(i); o != nobody || behind == aBody {
		return max(o, min(behind, aBody)) // the place of a thing's sign does not matter
	}
	for j := i - 1; j >= 0 && j >= i-farBefore && m.tokens[j].is&b["stop"] == 0; j-- {
		is := m.tokens[j].is
		switch {
		case is&(b["body"]|b["person"]) != 0:
			return aBody
		case is&b["thing"] != 0 && !m.led(j):
			return aThing
		case is&b["thing"] != 0 && is&b["tool"] == 0, is&b["product"] != 0 && j == i-2 &&
			m.tokens[i-1].is&b["state"] != 0:
			behind = aThing
		}
	}
	return behind
}

// heads is what the word at i describes if it stands before it: "grey 27G needle". Behind a verb or a part of the
// body it describes what came before.
func (m *heard) heads(i int) owner {
	b := m.bits
	if m.tokens[i].is&b["adjective"] == 0 {
		return nobody
	}
	j := i + 1
	for j < len(m.tokens) && j <= i+3 && m.tokens[j].is&(b["adjective"]|b["figure"]|b["and"]) != 0 &&
		m.tokens[j].is&(b["thing"]|b["body"]) == 0 {
		j++
	}
	if j >= len(m.tokens) {
		return nobody
	}
	switch is := m.tokens[j].is; {
	case is&b["body"] != 0:
		return aBody
	case is&b["thing"] != 0 && (i == 0 || m.tokens[i-1].is&(b["body"]|b["person"]|b["verb"]) == 0):
		return aThing
	}
	return nobody
}

// place is where the sign at i is: "on the lip", "in the hub".
func (m *heard) place(i int) owner {
	b := m.bits
	led := false
	for j := i + 1; j < len(m.tokens) && j <= i+farBehind && m.tokens[j].is&b["mark"] == 0; j++ {
		switch is := m.tokens[j].is; {
		case is&b["at"] != 0:
			led = true
		case led && is&b["body"] != 0:
			return aBody
		case led && is&b["thing"] != 0:
			return aThing
		}
	}
	return nobody
}

// led reports whether the thing at i follows a word such as "with" or "in": "after a 27G needle".
func (m *heard) led(i int) bool {
	b := m.bits
	for j := i - 1; j >= 0 && j >= i-farBehind; j-- {
		switch is := m.tokens[j].is; {
		case is&(b["at"]|b["with"]) != 0:
			return true
		case is&(b["article"]|b["figure"]|b["product"]|b["tool"]|b["adjective"]) == 0:
			return false
		}
	}
	return false
}
