// Package knowledge is what one community knows: its products, instruments,
// syringes, members and stock, every bench test its members logged, and the
// estimate that follows from them.
//
// A [Store] is one SQLite file that may hold several communities. A [Group] is
// the handle to one of them, and everything that reads or writes what a
// community knows is a method of Group, so that no query can forget which
// community it is about. Estimates are computed when a test is logged and kept
// beside the version of the log they stand on; a question that finds another
// version computes again before it answers, so no answer is ever stale.
package knowledge
