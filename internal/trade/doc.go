// Package trade has the nouns of the trade, each once: product, instrument, syringe, combination, and
// the limits of a pull, a watch, a name and a note. All code that reads, stores or shows one of them
// uses these types and limits.
//
// A file has one noun with its Validate. A rule refuses with a *FieldError, in words for the person
// who typed the value.
package trade
