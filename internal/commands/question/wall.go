package question

import "holdbench/internal/calc"

// wallBook holds the ways to say a wall class. "Thin" alone is said of gels
// and of lips; only with "wall" does it say anything of a tube.
var wallBook = newPhraseBook(
	"thin: thin wall, thin walled, thin walls, thinwall, thinwalled, tw, standard thin wall",
	"extra-thin: extra thin wall, extra thin walled, extra thinwall, extra thin, extrathin, extrathin wall, extrathinwall, x thin wall, xtw, etw, x tw, e tw, extra tw",
	"ultra-thin: ultra thin wall, ultra thin walled, ultra thinwall, ultra thin, ultrathin, ultrathin wall, ultrathinwall, utw, u tw, ultra tw",
	"regular: regular wall, regular walled, regularwall, normal wall, normal walled, standard wall, standard walled, rw",
	"unrecorded: wall not recorded, wall unrecorded",
)

// unrecordedWall stands for an instrument listed without a wall class, where
// another one of the same size is listed with one.
const unrecordedWall = "unrecorded"

// readWalls collects the wall classes that the text names.
func (s *scan) readWalls() {
	for i := range s.toks {
		if s.isMark(i-1, "-") && s.glued(i) && s.glued(i-1) && s.word(i-2) != "" && unitWords[s.word(i-2)] == noUnit {
			continue // the tail of some other word
		}
		if means, end, ok := s.phraseAt(wallBook, i); ok {
			s.walls = addOnce(s.walls, calc.WallClass(means))
			s.take(i, end, walled)
		}
	}
}
