package question

import (
	"holdbench/internal/calc"
	"holdbench/internal/quantity"
)

// wallBook has the words for wall classes. "Thin" alone may be said of gels and lips; it needs "wall" to be a tube's.
var wallBook = book("wall")

// unrecordedWall stands for an instrument without a wall class on a list that has the same size with one.
const unrecordedWall = "unrecorded"

// readWalls collects the wall classes.
func (s *scan) readWalls() {
	for i := range s.toks {
		if s.isMark(i-1, "-") && s.glued(i) && s.glued(i-1) && s.word(i-2) != "" &&
			quantity.UnitOf(s.word(i-2)) == quantity.NoUnit {
			continue // the end of another word
		}
		if means, end, ok := s.phraseAt(wallBook, i); ok {
			s.walls = addOnce(s.walls, calc.WallClass(means))
			s.take(i, end, walled)
		}
	}
}
