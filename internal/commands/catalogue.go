package commands

import "slices"

// All lists the commands in the order of the help.
func All() []*Command { return slices.Clone(catalogue) }

// catalogue is every command, in the order of the help.
var catalogue = []*Command{
	holdCommand, whyCommand, negativeCommand, logCommand, testsCommand, pictureCommand, compareCommand, withdrawCommand, restoreCommand,
	productsCommand, instrumentsCommand, addProductCommand, settingsCommand, stockCommand, groupStockCommand, untestedCommand, takeCommand, giveUpCommand,
	asideCommand, boxCommand, benchCommand, batchCommand,
	coverageCommand, testersCommand, flaggedCommand, checkedCommand, spreadCommand, historyCommand, exportCommand, renameCommand, mergeCommand, choicesCommand, aboutMeCommand,
	methodCommand, welcomeCommand, helpCommand,
}

// find is the command of that name, nil if there is none.
func find(all []*Command, name string) *Command {
	for _, cmd := range all {
		if cmd.Name == name {
			return cmd
		}
	}
	return nil
}
