// Package chart draws the pictures that go with an answer: the share shown by
// time, what the group has tested, and its testers side by side. It takes plain
// figures and gives back a PNG with the words that stand in for it; it knows no
// store and no clock, and the same figures give the same bytes.
//
// The pictures are made for a phone at arm's length: 1080 px wide, no lettering
// under 30 px, few words, on a paper of their own, light or dark, that stands out
// from a light chat and from a dark one. Nothing is told by colour alone: every
// colour comes with a shape, a hatch or a word. A combination that nobody has
// tested looks unlike a tested one at first sight, and every picture carries the
// caveats, since a picture travels without its message.
package chart
