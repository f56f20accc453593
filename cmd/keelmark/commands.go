package main

import "github.com/spf13/cobra"

// commands makes every command of the program; each stands in a file of its own name.
func commands(std streams) []*cobra.Command {
	return []*cobra.Command{newAgain(std), newCalc(std), newCheck(std), newRead(std), newDemo(std), newLabs(std), newNew(std), newPrint(std), newMark(std), newVersion(std)}
}
