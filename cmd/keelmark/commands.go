package main

import "github.com/spf13/cobra"

// commands makes every command of the program; each stands in a file of its own name.
func commands(std streams) []*cobra.Command {
	return []*cobra.Command{
		newDemo(std), newLabs(std), newCheck(std), newPrint(std), newMark(std), newCalc(std), newRead(std), newNew(std),
		newAgain(std), newRecord(std), newVersion(std),
	}
}
