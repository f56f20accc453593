// Package templates holds the labs built into the program, one folder a topic. It only carries the files; package labs
// reads them.
package templates

import "embed"

// FS holds the templates as <topic>/<name>.md, and the list of skills as SKILLS.md.
//
//go:embed */*.md SKILLS.md
var FS embed.FS
