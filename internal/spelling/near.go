package spelling

import "slices"

// Near finds the words that a typed word may be a slip of without comparing it to all. Two words one slip apart have
// a shortened form in common, made by leaving out at most one letter of each.
type Near map[string][]int32

// Add enters word number id under its shortened forms: the word itself, without each one letter, and if deep without
// each two.
func (m Near) Add(w string, id int32, deep bool) {
	if len(w) < 3 || len(w) > Longest {
		return
	}
	m.enter(w, id)
	for i := range len(w) {
		short := w[:i] + w[i+1:]
		m.enter(short, id)
		for j := i; deep && j < len(short); j++ {
			m.enter(short[:j]+short[j+1:], id)
		}
	}
}

func (m Near) enter(key string, id int32) {
	list := m[key]
	if n := len(list); n > 0 && list[n-1] == id {
		return
	}
	m[key] = append(list, id)
}

// Candidates returns the numbers of the words that share a shortened form with typed, each once. Cost says how close
// they are.
func (m Near) Candidates(typed string) []int32 {
	if len(typed) < 3 || len(typed) > Longest {
		return nil
	}
	found := slices.Clone(m[typed])
	buf := make([]byte, 0, Longest)
	for i := range len(typed) {
		buf = append(append(buf[:0], typed[:i]...), typed[i+1:]...)
		for _, id := range m[string(buf)] {
			if !slices.Contains(found, id) {
				found = append(found, id)
			}
		}
	}
	return found
}
