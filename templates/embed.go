// Package templates holds the labs built into the program, one folder a topic. It only carries the files; package labs
// reads them.
package templates

import "embed"

// FS holds the templates as <topic>/<name>.md.
//
//go:embed */*.md
var FS embed.FS
