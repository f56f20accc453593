package labs

import (
	"cmp"

	"keelmark/labs/quantity"
)

// numberTables numbers the columns that belong together row by row: those that stand in one table of readings, those that
// one is computed from, and those that the formula of an answer takes element by element.
func (r *reader) numberTables() {
	l := r.lab
	for i, v := range l.Values {
		v.Table = i + 1 // at first, each is by itself
	}
	join := func(names ...string) {
		first, joined := 0, map[int]bool{}
		for _, name := range names {
			if v := l.Value(name); v != nil && v.Type.Kind == quantity.Column {
				first = cmp.Or(first, v.Table)
				joined[v.Table] = true
			}
		}
		for _, v := range l.Values {
			if joined[v.Table] {
				v.Table = first
			}
		}
	}
	for _, b := range r.blocks {
		if b.Readings == nil {
			continue
		}
		var names []string
		for _, v := range b.Readings.Columns {
			names = append(names, v.Name)
		}
		join(names...)
	}
	for _, v := range l.Values {
		if v.Each != nil {
			join(v.Name, v.Each.Name)
		}
		if v.CalcExpr != nil && v.Source != Measured {
			join(append(v.CalcExpr.Names(), v.Name)...)
		}
	}
	for _, q := range l.Questions {
		if q.Expr == nil {
			continue
		}
		for _, names := range q.Expr.Together(l, l.Functions) {
			join(names...)
		}
	}
}
