// Command fairplot is the whole program; see package cli.
package main

import (
	"context"
	"os"

	"fairplot/internal/cli"
)

func main() {
	os.Exit(cli.Main(context.Background(), cli.Env{Args: os.Args[1:], Stdin: os.Stdin, Stdout: os.Stdout, Stderr: os.Stderr}))
}
