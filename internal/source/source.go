// Package source is the register of the published works that formulas, tables and limits come from. Code names
// a source by its key; reference lists are printed from here. It holds no figures itself.
package source

// Status tells how far a figure has been checked; the letters are those of the register's own legend.
type Status string

// Source is one published work.
type Source struct {
	Key       string // as code names it: "FAO56"
	Authors   string
	Year      int
	Title     string
	Publisher string // publisher, journal or body, with volume and pages
	Where     string // web address or identifier, if any
}

// All returns every registered source, sorted by key.
func All() []Source {
	return sorted(climate, soil, crop, statistics)
}
