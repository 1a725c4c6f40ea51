package commands

// questionBack is a Card that is shown instead of the answer: mostly it asks which of several things is meant, or
// whether to go on. It travels as an error, so that whatever reads names or words can stop the handler; Answer shows
// the Card as it is, without a reference and without the form that is offered after other errors.
type questionBack struct{ Card }

// Error is the question.
func (q *questionBack) Error() string { return q.Title }
