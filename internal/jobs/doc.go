// Package jobs posts what nobody asked for: the weekly prompt, reminders of claimed tests, proposals of a bench
// session, news of verdicts.
//
// A Job finds what to post to one community at one moment. A Runner claims each post in the store, so that it goes out
// once, and hands it to a Poster. No job knows a surface or reads a clock.
package jobs
