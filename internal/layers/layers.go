// Package layers holds no code: its test is the table of who may import whom.
package layers
