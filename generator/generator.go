// Package generator draws numbers for every sheet of a class and makes the class set: sheets, key, tables for answers,
// set.json. From one seed it always makes the same set, on any number of cores. It also checks a lab by drawing it. It
// never marks, and a set once made is never drawn anew: what is printed again is printed from what is stored. A draw is
// kept only when its answers are worth asking for, when no listed mistake or usual slip would be marked right, and when
// copying from another pupil does not pay. Start with [Make] or [Check].
package generator
