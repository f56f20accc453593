package main

import "keelmark/grader"

type reportOptions struct{}

// writeReports makes the PDFs that go with a marking.
func writeReports(r *grader.Result, dir string, opt reportOptions) error { return nil }
