// Package say says numbers as people say them, the same on cards and pictures:
// shares as "9 in 10", counts as "12 tests". It knows nothing of what is counted.
package say
