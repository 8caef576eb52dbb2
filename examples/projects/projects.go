// Package projects holds the checked-in projects that the example programs run on.
// Every driver, part, price and curve in them is invented.
package projects

import "embed"

// Files holds a folder for each project.
//
//go:embed buildnight bench impedance pairing
var Files embed.FS
