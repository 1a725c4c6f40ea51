package question

import (
	"holdbench/internal/calc"
	"holdbench/internal/quantity"
)

// wallBook holds the ways to say a wall class. "Thin" alone is said of gels
// and of lips; only with "wall" does it say anything of a tube.
var wallBook = book("wall")

// unrecordedWall stands for an instrument listed without a wall class, where
// another one of the same size is listed with one.
const unrecordedWall = "unrecorded"

// readWalls collects the wall classes that the text names.
func (s *scan) readWalls() {
	for i := range s.toks {
		if s.isMark(i-1, "-") && s.glued(i) && s.glued(i-1) && s.word(i-2) != "" &&
			quantity.UnitOf(s.word(i-2)) == quantity.NoUnit {
			continue // the tail of some other word
		}
		if means, end, ok := s.phraseAt(wallBook, i); ok {
			s.walls = addOnce(s.walls, calc.WallClass(means))
			s.take(i, end, walled)
		}
	}
}
