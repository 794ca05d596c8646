package model

import (
	"cmp"
	"slices"
)

// cross numbers the combinations of two classifications that occur, in order of a, then b.
func cross(a []int32, qa int, b []int32, qb int) ([]int32, int) {
	out := make([]int32, len(a))
	if qa*qb <= 16*len(a)+1024 {
		seen := make([]int32, qa*qb)
		for i := range a {
			seen[int(a[i])*qb+int(b[i])] = 1
		}
		q := int32(0)
		for k := range seen {
			if seen[k] == 1 {
				seen[k] = q
				q++
			}
		}
		for i := range a {
			out[i] = seen[int(a[i])*qb+int(b[i])]
		}
		return out, int(q)
	}
	keys := make([]int64, len(a))
	for i := range a {
		keys[i] = int64(a[i])*int64(qb) + int64(b[i])
	}
	return rank(keys)
}

// rank numbers distinct values in ascending order.
func rank[T cmp.Ordered](values []T) ([]int32, int) {
	sorted := slices.Clone(values)
	slices.Sort(sorted)
	sorted = slices.Compact(sorted)
	out := make([]int32, len(values))
	for i, v := range values {
		at, _ := slices.BinarySearch(sorted, v)
		out[i] = int32(at)
	}
	return out, len(sorted)
}

// sameClasses tells whether two classifications divide the rows in the same way.
func sameClasses(a []int32, qa int, b []int32, qb int) bool {
	return qa == qb && within(a, qa, b)
}

// within tells whether every class of a lies in one class of b.
func within(a []int32, qa int, b []int32) bool {
	of := make([]int32, qa)
	for i := range of {
		of[i] = -1
	}
	for i, k := range a {
		if of[k] < 0 {
			of[k] = b[i]
		} else if of[k] != b[i] {
			return false
		}
	}
	return true
}
