package commands

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// Topic is one word of the menu and what its commands are for. A command is named by
// its topic and one or two words more; /hold, /log and /mine are topics of their own.
type Topic struct {
	Name    string
	Summary string // at most 100 characters

	bare string // the command of a typed line that is the word alone; "" for none
	rest string // the command that takes what else comes after the word; "" for none
}

// menu is in the order of a day.
var menu = []Topic{
	{Name: holdName, Summary: holdCommand.Summary},
	{Name: "explain", Summary: "Why a combination is fast or slow, as a picture, and what no flashback is worth"},
	{Name: logName, Summary: logCommand.Summary},
	{Name: mineName, Summary: mineCommand.Summary},
	{"stock", "Which gels you hold and on which needles", stockListName, stockName},
	{"bench", "A bench session: put syringes aside, a run sheet, all results at once", benchName, ""},
	{"totest", "What is worth a test, and who tests it", untestedName, untestedName},
	{"record", "The log: tests one by one, corrected, taken back, what happened, files", historyName, ""},
	{"group", "What the group knows: coverage, news, comparisons, testers, gels and needles", coverageName, ""},
	{"me", "What is stored about you, what you agree to, and having it erased", myDataName, ""},
	{"holdbench", "How to begin, how the numbers are made, and help", helpName, helpName},
	{"trainer", "For the group's trainer: what waits, settings, tests to look at, the lists of gels and needles",
		deskName, ""},
}

// Menu lists the topics in the order of a day.
func Menu() []Topic { return slices.Clone(menu) }

// openers are the words that open a command in a line without a slash. They are also the names that the commands had
// before there were topics.
var openers = map[string]string{
	"why": whyName, "picture": pictureName, "negative": negativeName, "compare": compareName,
	"untested": untestedName, "take": takeName, "giveup": giveUpName,
	"aside": asideName, "box": boxName, "batch": batchName,
	"tests": testsName, "correct": correctName, "withdraw": withdrawName, "restore": restoreName,
	"history": historyName, "export": exportName,
	"coverage": coverageName, "news": newsName, "testers": testersName, "spread": spreadName,
	"products": productsName, "instruments": instrumentsName,
	"choices": choicesName, "aboutme": myDataName,
	"method": methodName, "welcome": startName, "help": helpName,
	"settings": settingsName, "flagged": flaggedName, "checked": checkedName, "groupstock": groupStockName,
	"addproduct": addProductName, "rename": renameName, "merge": mergeName,
}

// topic is the topic of that name, nil if there is none.
func topic(name string) *Topic {
	i := slices.IndexFunc(menu, func(t Topic) bool { return t.Name == name })
	if i < 0 {
		return nil
	}
	return &menu[i]
}

// mostWords of a command's name.
const mostWords = 3

// named takes a command's name, the longest that fits, off the front of a line.
func named(line string) (cmd *Command, rest string) {
	name, after := "", line
	for range mostWords {
		word, left, _ := strings.Cut(after, " ")
		name, after = strings.TrimSpace(name+" "+strings.ToLower(word)), strings.TrimSpace(left)
		if found := find(catalogue, strings.TrimRight(name, ":,.!?")); found != nil {
			cmd, rest = found, after
		}
	}
	return cmd, rest
}

// Renamed is a request from a button of an older version, in today's names.
func Renamed(req Request) Request {
	do, skip := req.value("do"), req.value("skip")
	req.Values = maps.Clone(req.Values)
	delete(req.Values, "do")
	delete(req.Values, "skip")
	if rows, err := strconv.Atoi(skip); err == nil {
		req = req.with(pageOption, strconv.Itoa(1+rows/mostListed))
	}
	switch req.Command {
	case "stock":
		req.Command = cmp.Or(map[string]string{"remove": stockRemoveName, "list": stockListName}[do], stockName)
	case "aboutme":
		req.Command = cmp.Or(map[string]string{"file": myFileName, "erase": eraseName}[do], myDataName)
	case "bench":
		req.Command = benchName
	default:
		req.Command = cmp.Or(openers[req.Command], req.Command)
	}
	return req
}

// noCommand refuses a line with a slash that names no command, with what it could have meant.
func noCommand(req Request) error {
	word := strings.ToLower(req.Command)
	if name, is := openers[word]; is {
		return refuse("Write "+strings.TrimSpace("/"+name+" "+req.Text)+".", "/%s is called /%s now.", word, name)
	}
	if topic(word) == nil {
		return refuse("/"+helpName+" lists what can be asked.", "There is no command %s.", echo("/"+req.Command))
	}
	var names []string
	for _, cmd := range catalogue {
		if strings.HasPrefix(cmd.Name, word+" ") {
			names = append(names, "/"+cmd.Name)
		}
	}
	return refuse("There is "+listWords(names)+".", "/%s does not know what to do with %s.", word, echo(req.Text))
}
