package demo

import (
	"embed"
	"io/fs"
)

//go:embed book/*.csv
var tables embed.FS

// Seed is the seed of the demo's book, taken because its three answers have three verdicts and hold the truth.
const Seed = 5

// Tables returns the demo's book as tables of CSV, one for each kind of record, as Make made them from Seed and an export wrote them.
func Tables() fs.FS {
	sub, err := fs.Sub(tables, "book")
	if err != nil {
		panic("demo: the embedded tables have moved: " + err.Error())
	}
	return sub
}
