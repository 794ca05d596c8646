package source

import (
	"encoding/csv"
	"fmt"
	"io/fs"
	"strconv"
)

// Table returns the rows of the CSV table data/NAME.csv in the files, its heading left out. Such tables are part of the program and are read by the
// tests of the package that holds them, so one that cannot be read is a programmer's error and panics.
func Table(files fs.FS, name string) [][]string {
	f, err := files.Open("data/" + name + ".csv")
	if err != nil {
		panic(fmt.Errorf("source: %w", err))
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		panic(fmt.Errorf("source: table %s: %w", name, err))
	}
	return rows[1:]
}

// Number reads a cell of such a table.
func Number(cell string) float64 {
	x, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		panic(fmt.Errorf("source: a cell of a table: %w", err))
	}
	return x
}

// Numbers reads cells of such a table.
func Numbers(cells []string) []float64 {
	out := make([]float64, len(cells))
	for i, c := range cells {
		out[i] = Number(c)
	}
	return out
}
