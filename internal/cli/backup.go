package cli

import (
	"fmt"

	"fairplot/internal/book"

	"github.com/spf13/cobra"
)

// backupCommand copies the book while it may be in use: copying the bare file could miss what is still in its log.
func backupCommand(a *app) *cobra.Command {
	return &cobra.Command{
		Use: "backup FILE", Short: "write a whole copy of the book", GroupID: groupBook, Args: exactly("FILE"),
		Example: "  fairplot backup garden-2026-11.copy",
		RunE: func(_ *cobra.Command, args []string) error {
			b, err := a.open()
			if err != nil {
				return err
			}
			if err := b.Backup(a.ctx, a.path(args[0])); err != nil {
				return err
			}
			fmt.Fprintln(a.env.Stdout, args[0])
			return nil
		},
	}
}

// restoreCommand makes a book of a copy. It gets an id of its own, so that a phone does not take it for the book it went on with.
func restoreCommand(a *app) *cobra.Command {
	return &cobra.Command{
		Use: "restore COPY FILE", Short: "make a book of a copy, under a new name", GroupID: groupBook, Args: exactly("COPY", "FILE"),
		Example: "  fairplot restore garden-2026-11.copy restored.fairplot",
		RunE: func(_ *cobra.Command, args []string) error {
			b, err := book.Restore(a.ctx, a.path(args[0]), a.path(args[1]), a.bookOptions())
			if err != nil {
				return err
			}
			a.opened = b
			fmt.Fprintln(a.env.Stdout, args[1])
			return nil
		},
	}
}
