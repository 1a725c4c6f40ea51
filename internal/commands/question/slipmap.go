package question

// slipMap finds the words that a typed word may be a slip of, without going
// through all of them: two words one slip apart have a shortened form in
// common, made by leaving out at most one letter of each.
type slipMap map[string][]int32

// add enters word number id under its shortened forms: itself, each letter
// left out, and each two letters left out when deep.
func (m slipMap) add(w string, id int32, deep bool) {
	if len(w) < 3 || len(w) > longestSlipped {
		return
	}
	m.enter(w, id)
	for i := range w {
		short := w[:i] + w[i+1:]
		m.enter(short, id)
		for j := i; deep && j < len(short); j++ {
			m.enter(short[:j]+short[j+1:], id)
		}
	}
}

func (m slipMap) enter(key string, id int32) {
	list := m[key]
	if n := len(list); n > 0 && list[n-1] == id {
		return
	}
	m[key] = append(list, id)
}

// candidates returns the numbers of the words that share a shortened form with
// typed, each once. Whether they really are close is for slipCost to say.
func (m slipMap) candidates(typed string) []int32 {
	if len(typed) < 3 || len(typed) > longestSlipped {
		return nil
	}
	found := append([]int32(nil), m[typed]...)
	buf := make([]byte, 0, longestSlipped)
	for i := range len(typed) {
		buf = append(append(buf[:0], typed[:i]...), typed[i+1:]...)
		for _, id := range m[string(buf)] {
			found = addOnce(found, id)
		}
	}
	return found
}
