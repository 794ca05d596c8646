package cli

import (
	"fmt"

	"fairplot/internal/diary"
)

// trySwaps is how many lines a suspected swap of two columns is tried on.
const trySwaps = 12

// hintSwapped tries, where most lines are wrong, whether two heads stand over each other's columns: a date under "bed" and a
// bed under "date" make every line wrong, and telling that once is worth more than ten thousand complaints.
func (in *importing) hintSwapped(acc *account, src source) {
	if acc.wrong.count*2 < acc.lines {
		return
	}
	best, second, most := -1, -1, in.goodLines(src, -1, -1)
	for i := range src.columns {
		for j := i + 1; j < len(src.columns); j++ {
			if good := in.goodLines(src, i, j); good > most {
				best, second, most = i, j, good
			}
		}
	}
	if best < 0 || most < 1 {
		return
	}
	a, b := src.columns[best], src.columns[second]
	acc.swapped = fmt.Sprintf("the columns “%s” and “%s” look swapped: with their heads exchanged these lines can be read", src.table.Header[a.at], src.table.Header[b.at])
}

// goodLines counts how many of the first lines can be understood with two columns exchanged.
func (in *importing) goodLines(src source, i, j int) int {
	columns := append([]column(nil), src.columns...)
	if i >= 0 {
		columns[i].at, columns[j].at = columns[j].at, columns[i].at
	}
	good := 0
	for n, row := range src.table.Rows {
		if n == trySwaps {
			break
		}
		if len(row) > len(src.table.Header) {
			continue
		}
		fields := fieldsOf(src.table, columns, row)
		delete(fields, "id")
		if _, err := diary.Understand(in.context, diary.Draft{Action: diary.Add, Kind: src.kind, Fields: fields}); err == nil {
			good++
		}
	}
	return good
}
