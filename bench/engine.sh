#!/usr/bin/env bash
# Times the mixed model engine at the sizes of docs/mixed-models.md and prints a Markdown table: the best of COUNT runs (3
# unless given) of each benchmark, each on its own so that memory is its own. Processor time is that of the whole process over
# the number of runs, drawing the table included; on a busy machine it says more than the best. Usage: bench/engine.sh [COUNT]
set -euo pipefail
cd "$(dirname "$0")/.."

count=${1:-3}
program=$(mktemp)
trap 'rm -f "$program"' EXIT
go test -c -o "$program" ./internal/num/lmm

echo "$(go version), $(nproc) processors, load $(cut -d' ' -f1 /proc/loadavg 2>/dev/null || echo unknown) at the start"
echo
echo "| benchmark | best, ms | processor time, ms | allocated, MB | allocations | peak of the process, MB |"
echo "|---|---|---|---|---|---|"
for name in Rows72/fit Rows72/fitAndKenwardRoger Rows2000/fit Rows2000/fitAndKenwardRoger Rows45861/fit Rows45861/fitAndKenwardRoger \
	Rows60000/fit Rows60000/fitAndKenwardRoger Rows73421/fit Rows73421/fitAndKenwardRoger Simulated/balanced Simulated/unbalanced; do
	exact="^Benchmark${name//\//\$/^}\$"
	TIMEFORMAT='user %U'
	{ time (cd internal/num/lmm && "$program" -test.run '^$' -test.bench "$exact" -test.benchmem -test.count "$count"); } 2>&1 |
		awk -v name="$name" '
			/^user/ { cpu = $2 }
			/^Benchmark/ {
				runs += $2
				for (i = 3; i < NF; i++) {
					if ($(i + 1) == "ns/op" && (best == "" || $i < best)) best = $i
					if ($(i + 1) == "B/op") bytes = $i
					if ($(i + 1) == "allocs/op") allocs = $i
					if ($(i + 1) == "peak-MB" && $i > peak) peak = $i
				}
			}
			END {
				if (best == "") { print "no result for " name > "/dev/stderr"; exit 1 }
				printf "| %s | %.4g | %.3g | %.3g | %d | %s |\n", name, best / 1e6, 1e3 * cpu / runs, bytes / 1e6, allocs, peak ? sprintf("%.0f", peak) : ""
			}'
done
