// Package question reads what a busy person types, "is 8 s enough for orick mid, 27G half inch?", as one combination
// of gel, needle or cannula and syringe. Where the text leaves something open it gives choices; where it names
// nothing it says so. The package knows words and the nouns of package trade, no store and no clock.
//
// One rule comes before all others: a gel or a needle is answered only if the text says it. Whatever can be read in
// two ways becomes a choice, and a name that is on nobody's list is never taken for one that is. A word missing from
// the lists in words/ may cost a question back; it never gives a wrong answer.
//
// # The line above, stage by stage
//
// Read and its sisters (question.go, stated.go) make a scan (scan.go): the text as tokens, each with one role, so
// that nothing counts twice.
//
//  1. markup.go removes mentions and links, fold.go brings the rest to plain characters, token.go splits it into
//     words, numbers and marks: is · 8 · s · enough · for · orick · mid · , · 27 · g · half · inch · ?
//  2. namematch.go protects names that have numbers in them; noise.go sets dates, prices and clock times aside.
//  3. dilution.go, wall.go, syringe.go and kind.go find the words for these, the ones that need no number.
//  4. number.go and quantityunit.go read amounts: 8 s, 27 gauge, 1/2 inch. unit.go knows misspelt units; spread.go
//     gives "27" in "27 or 30G" the unit of its neighbour.
//  5. pull.go, pair.go, diameter.go, gauge.go, length.go, seconds.go and volume.go decide what each amount is: a hold
//     of 8 s, a 27G, a length of 13 mm. The surest is read first, because it takes its tokens away from the rest.
//     straysize.go takes a number that is left for a second size where that is possible.
//  6. negation.go looks for "not" before any of them.
//  7. index.go has the names of the group's list, spelling.go the slips that lead to one ("orick"), family.go the
//     diluted forms of a gel. namematch.go finds the words that match a name, whole or in part.
//  8. Many names are ordinary words too: everyday.go and ordinary.go tell the uses apart. doubt.go and debris.go look
//     at the words and numbers beside a name, which may make it another gel's.
//  9. product.go, instrument.go, instrumentoptions.go and syringechoice.go settle each piece or keep its options.
//  10. decide.go puts the pieces together; choice.go and wording.go write the choices and what is said with them.
//     rest.go has the words that nothing was made of.
//
// # Other ways in
//
// followup.go and followupparts.go read a short line ("and with the 30?") as about the last combination. sides.go
// reads what is compared, readname.go and readclass.go the value of one option, correction.go "sorry, I meant …".
// talk.go recognises messages that are no question about a hold. lists.go loads the words and phrases of words/.
package question
