// Package chart draws the pictures that go with an answer: the share shown by time, what the group
// has tested, a member's own sheet, and the group's testers compared. It takes plain figures and
// returns a PNG with the words that stand in for it. It knows no store and no clock, and the same
// figures give the same bytes.
//
// The pictures are made for a phone at arm's length: 1080 px wide, no lettering under 30 px, few
// words, on paper of their own, light or dark, that stands out from a light chat and from a dark
// one. Nothing is told by colour alone: every colour comes with a shape, a hatch or a word. An
// untested combination looks unlike a tested one at first sight. Every picture carries the caveats,
// because it may travel without its message.
package chart
