package commands

import "slices"

// All lists the commands in the order of the help.
func All() []*Command { return slices.Clone(catalogue) }

// catalogue is every command, in the order of the help.
var catalogue = []*Command{
	holdCommand, whyCommand, pictureCommand, negativeCommand,
	logCommand, mineCommand,
	stockCommand, stockRemoveCommand, stockListCommand,
	asideCommand, boxCommand, benchCommand, watchCommand, batchCommand, classLogCommand,
	untestedCommand, takeCommand, giveUpCommand,
	testsCommand, correctCommand, withdrawCommand, restoreCommand, historyCommand, exportCommand,
	coverageCommand, newsCommand, compareCommand, testersCommand, spreadCommand, lotsCommand, productsCommand,
	instrumentsCommand,
	myDataCommand, choicesCommand, myFileCommand, eraseCommand,
	startCommand, methodCommand, caveatsCommand, helpCommand,
	deskCommand, settingsCommand, wallChartCommand, importCommand, classCommand, flaggedCommand, checkedCommand,
	groupStockCommand, addProductCommand, renameCommand, classGelCommand, nameGelCommand, retireGelCommand,
	mergeCommand, apartGelsCommand,
	addNeedleCommand, correctNeedleCommand, retireNeedleCommand,
	addSyringeCommand, correctSyringeCommand, retireSyringeCommand, forgetCommand, undoCommand,
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
