// Package say says numbers and states as people say them, the same on cards, on
// pictures and in figures for programs: shares as "9 in 10", counts as "12 tests",
// and one table of what can be said of a combination.
package say
