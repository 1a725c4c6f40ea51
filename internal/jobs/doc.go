// Package jobs holds what the program says without being asked: the weekly
// prompt, reminders of what was taken on, proposals of a bench session, news of
// verdicts.
//
// A Job finds what is to be said to one community at one moment; a Runner claims
// each of it in the store, so that it is said once, and hands it to a Poster. No
// job knows a surface or reads a clock.
package jobs
