package commands

import "strconv"

const skipName = "skip"

// skipOption leaves out what a list has shown already. The button under the list
// sets it.
func skipOption() Option {
	return Option{Name: skipName, Help: "leave out so many of the latest, to see older ones", Kind: Whole, Min: 0,
		Max: 1e6}
}

func skipped(call *Call) int {
	n, _ := call.number(skipName) // 0 where it is not given
	return int(n)
}

// olderOnes asks for what comes after the page that was shown.
func olderOnes(call *Call) Action {
	next := call.with(skipName, strconv.Itoa(skipped(call)+mostListed))
	next.Key = ""
	return Action{Label: "older ones", Request: next}
}
