// Package say puts numbers and states into words, the same on cards, on pictures and in figures for
// programs: shares as "9 in 10", counts as "12 tests", and one table of the states of a combination.
package say
