package intake_test

import (
	"strings"
	"testing"

	"fairplot/internal/intake"
)

func TestPlainDecimals(t *testing.T) {
	for _, c := range []struct {
		name, file, want string
		refused          bool
	}{
		{"semicolon and commas", "crop;kg;n\nleek;1,5;3\nkale;NA;4\n", "leek 1.5 3/kale NA 4", false},
		{"tabs and commas", "crop\tkg\nleek\t-0,25\n", "leek -0.25", false},
		{"words with commas stay", "crop;kg\nleek, long;1,5\n", "leek, long 1.5", false},
		{"points stay", "crop;kg\nleek;1.5\n", "leek 1.5", false},
		{"commas between columns", "crop,kg\nleek,1.5\n", "leek 1.5", false},
		{"columns that differ", "a;b\n1,5;1.5\n", "", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			table, err := intake.ReadTable("t.csv", []byte(c.file), intake.Options{})
			if err != nil {
				t.Fatal(err)
			}
			got, err := table.PlainDecimals()
			if (err != nil) != c.refused {
				t.Fatalf("error %v, want refused %v", err, c.refused)
			}
			var rows []string
			for _, r := range got.Rows {
				rows = append(rows, strings.Join(r, " "))
			}
			if !c.refused && strings.Join(rows, "/") != c.want {
				t.Errorf("got %q, want %q", strings.Join(rows, "/"), c.want)
			}
		})
	}
}
