package water

import (
	"embed"
	"sync"

	"fairplot/internal/source"
)

//go:embed data/*.csv
var data embed.FS

// proxy is the crop whose figures stand in for those that a crop does not have, and the group of FAO-56 it belongs to.
type proxy struct{ as, group string }

var proxies = sync.OnceValue(func() map[string]proxy {
	out := map[string]proxy{}
	for _, r := range source.Table(data, "proxies") {
		out[r[0]] = proxy{r[1], r[2]}
	}
	return out
})
