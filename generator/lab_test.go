package generator

import (
	"fmt"
	"strings"
	"testing"

	"keelmark/labs"
	"keelmark/labs/classset"
)

// basin is a lab with something of everything that drawing and printing must get right.
const basin = `---
title: Weight in the basin
topic: archimedes
level: core
minutes: 40
aims:
  - Weigh a lock gate's float in water.
kit:
  - newton meter, 0.01 N divisions
cautions:
  - Wipe spills at once.
values:
  T:   {from: 8 degC, to: 24 degC, step: 0.5 degC, what: water temperature}
  rho: {calc: water_density(T), show: 0.1 kg/m^3, symbol: '\rho', what: density of the water}
  V:   {from: 60 cm^3, to: 160 cm^3, step: 1 cm^3, what: volume of the float}
  W:   {from: 2.00 N, to: 9.00 N, step: 0.01 N, what: weight of the float}
  z:   {series: 1 cm .. 5 cm step 1 cm, what: depth}
  p:   {each: z, calc: rho*g*z, noise: 2 Pa, show: 1 Pa, what: gauge pressure}
  Wm:  {measure: newton meter, division: 0.01 N, expect: W - 0.6 N, what: reading under water}
require:
  - W > 2*rho*g*V
---

The float weighs {{W}} and has a volume of {{V}}. The water is at {{T}}: $\rho =$ {{rho}}.

` + "```table\ncolumns: [z, p]\n```\n\n```readings bench\ncolumns: [Wm]\n```\n" + `
` + "```question U\n" + `ask: What is the upthrust on the float?
answer: rho*g*V
unit: N
marks: 2
skill: upthrust
mistakes:
  - {value: rho*V, marks: 1, why: 'That is the mass of the water: times g.'}
` + "```\n\n```question A\n" + `ask: What does it seem to weigh under water?
answer: W - U
unit: N
marks: 1
` + "```\n\n```question m\n" + `ask: What is its mass?
answer: W/g
unit: g
marks: 1
levels: [core]
` + "```\n\n```question sinks\n" + `ask: What does it do?
choices: [it floats, it sinks, it hovers]
answer: if(A > 0 N, 2, 1)
shuffle: true
marks: 1
` + "```\n\n```question why\n" + `ask: Why?
by_hand: 2
look_for: [it weighs more than the water it pushes aside]
` + "```\n\n```question extra\n" + `ask: What is the reading short of the weight?
answer: W - Wm
unit: N
marks: 1
may_equal: true
levels: [stretch]
` + "```\n"

func parseLab(t testing.TB, source string) *labs.Lab {
	t.Helper()
	l, err := labs.Parse("basin.md", []byte(source))
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// edited is the basin with each old text replaced by the new one after it.
func edited(t testing.TB, pairs ...string) string {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(basin, pairs[i]) {
			t.Fatalf("the lab does not hold %q", pairs[i])
		}
	}
	return strings.NewReplacer(pairs...).Replace(basin)
}

func crew(n int) []classset.Pupil {
	pupils := make([]classset.Pupil, n)
	for i := range pupils {
		pupils[i] = classset.Pupil{ID: fmt.Sprintf("p%02d", i+1), Name: fmt.Sprintf("Pupil %d", i+1), Group: fmt.Sprint("bench ", i/3)}
	}
	return pupils
}
