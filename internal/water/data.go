package water

import (
	"embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"sync"
)

//go:embed data/*.csv
var data embed.FS

// rows returns an embedded table without its heading. The tables are part of the program and read by its tests, so a broken one is
// a programmer's error.
func rows(name string) [][]string {
	f, err := data.Open("data/" + name + ".csv")
	if err != nil {
		panic(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		panic(fmt.Errorf("water: table %s: %w", name, err))
	}
	return all[1:]
}

func figures(cells []string) []float64 {
	out := make([]float64, len(cells))
	for i, c := range cells {
		x, err := strconv.ParseFloat(c, 64)
		if err != nil {
			panic(fmt.Errorf("water tables: %w", err))
		}
		out[i] = x
	}
	return out
}

// proxy is the crop whose figures stand in for those that a crop does not have, and the group of FAO-56 it belongs to.
type proxy struct{ as, group string }

var proxies = sync.OnceValue(func() map[string]proxy {
	out := map[string]proxy{}
	for _, r := range rows("proxies") {
		out[r[0]] = proxy{r[1], r[2]}
	}
	return out
})
