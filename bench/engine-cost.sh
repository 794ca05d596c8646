#!/usr/bin/env bash
# Runs the engine's benchmark of cost against rows and groups and draws docs/mixed-models-cost.svg from it.
# Usage: bench/engine-cost.sh [COUNT]
set -euo pipefail
cd "$(dirname "$0")/.."

go test -run '^$' -bench RowsAndGroups -benchtime 1x -count "${1:-3}" ./internal/num/lmm | tee /dev/stderr |
	awk -f bench/engine-cost.awk >docs/mixed-models-cost.svg.new
mv docs/mixed-models-cost.svg.new docs/mixed-models-cost.svg
