# Draws the best times of BenchmarkRowsAndGroups as two curves on logarithmic axes: against rows (200 × 20 crossed groups), and
# against groups (50,000 rows, 2,000 groups crossed with so many). Colours from Okabe & Ito's set for all eyes.

function log10(x) { return log(x) / log(10) }
function X(v, from, to, left) { return left + 25 + 255 * (log10(v) - log10(from)) / (log10(to) - log10(from)) }
function Y(ms) { return 270 - 210 * (log10(ms) - log10(low)) / (log10(high) - log10(low)) }

/^Benchmark/ {
	split($1, part, "/")
	sub(/-[0-9]+$/, "", part[2])
	ms = $3 / 1e6
	if (!(part[2] in best) || ms < best[part[2]]) best[part[2]] = ms
}

function curve(names, values, n, from, to, left, title, unit,    i, x, y, points) {
	printf "<text x=\"%d\" y=\"30\" class=\"head\">%s</text>\n", left, title
	for (i = low; i <= high * 1.001; i *= 10) {
		printf "<line x1=\"%d\" x2=\"%d\" y1=\"%.1f\" y2=\"%.1f\" class=\"grid\"/>\n", left, left + 300, Y(i), Y(i)
		printf "<text x=\"%d\" y=\"%.1f\" class=\"end\">%g ms</text>\n", left - 6, Y(i) + 4, i
	}
	for (i = 1; i <= n; i++) {
		x = X(values[i], from, to, left)
		y = Y(best[names[i]])
		points = points sprintf("%.1f,%.1f ", x, y)
		printf "<circle cx=\"%.1f\" cy=\"%.1f\" r=\"4\" class=\"dot\"/>\n", x, y
		printf "<text x=\"%.1f\" y=\"%.1f\" class=\"mid\">%s</text>\n", x, y - 9, short(best[names[i]])
		printf "<text x=\"%.1f\" y=\"290\" class=\"mid\">%s</text>\n", x, thousands(values[i])
	}
	printf "<polyline points=\"%s\" class=\"line\"/>\n", points
	printf "<text x=\"%d\" y=\"312\" class=\"mid\">%s</text>\n", left + 150, unit
}

function short(ms) { return ms >= 100 ? sprintf("%.0f", ms) : sprintf("%.3g", ms) }
function thousands(v) { return v >= 1e6 ? v / 1e6 " M" : v >= 1e3 ? v / 1e3 " k" : v }

END {
	low = 0.1
	high = 10000
	print "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 800 325\" role=\"img\" aria-labelledby=\"t d\">"
	print "<title id=\"t\">Cost of a mixed model against rows and groups</title>"
	print "<desc id=\"d\">Milliseconds for reading a table in memory, fit, Kenward-Roger and one F test. Left: 200 by 20 crossed groups, 2,000 to 1,000,000 rows. Right: 50,000 rows, 2,000 groups crossed with 20 to 1,500. The figures stand beside the points.</desc>"
	print "<style>text{font:12px sans-serif;fill:#222}.head{font-weight:bold}.mid{text-anchor:middle}.end{text-anchor:end}.grid{stroke:#ddd}.line{fill:none;stroke:#0072b2;stroke-width:2}.dot{fill:#0072b2}</style>"
	print "<rect width=\"800\" height=\"325\" fill=\"#fff\"/>"
	split("rows2e3 rows2e4 rows2e5 rows1e6", a, " ")
	split("2000 20000 200000 1000000", b, " ")
	curve(a, b, 4, 2000, 1000000, 80, "rows, with 200 × 20 groups", "rows")
	split("groups2000x20 groups2000x200 groups2000x500 groups2000x1500", c, " ")
	split("20 200 500 1500", d, " ")
	curve(c, d, 4, 20, 1500, 480, "groups, with 50,000 rows", "groups crossed with 2,000 others")
	print "</svg>"
}
