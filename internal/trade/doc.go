// Package trade has the nouns of the trade, each once: product, instrument, syringe,
// combination, and what a pull, a watch, a name and a note may be. Whoever reads,
// stores or shows one uses these types and these limits.
//
// A file has one noun with its Validate. What a rule refuses is a *FieldError, in
// words for the person who typed it.
package trade
