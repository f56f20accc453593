// Command bench answers a class set as simulated pupils would, a third of the numbers wrong, so that marking can be timed.
// It is for developers and no part of the program; twelve.md beside it is a lab to time it on.
package main

import (
	"fmt"
	"os"

	"keelmark/grader/pupils"
	"keelmark/labs/classset"
)

// habits of a class whose answers give the marking most to do.
var habits = pupils.Habits{Slip: 1.0 / 3}

func main() {
	if len(os.Args) != 3 {
		fmt.Fprintln(os.Stderr, "usage: bench DIR ANSWERS.csv")
		os.Exit(2)
	}
	if err := answer(os.Args[1], os.Args[2]); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(3)
	}
}

// answer writes the answers of the whole class to the set in dir.
func answer(dir, file string) error {
	set, lab, err := classset.Open(dir)
	if err != nil {
		return err
	}
	class, err := pupils.Class(lab, set, habits, 12)
	if err != nil {
		return err
	}
	return classset.WriteTable(file, pupils.Table(lab, class))
}
