package book

import (
	"context"
)

// Asked notes that the question was asked of these records and returns how many different ones have been, this one
// included. The canonical text decides what is the same question.
func (b *Book) Asked(ctx context.Context, canonical string) (count int, err error) {
	err = b.transact(ctx, func(calm context.Context, w *writer) error {
		_, err := w.exec(calm, "INSERT INTO asked (question, first, times) VALUES (?, ?, 1) ON CONFLICT (question) DO UPDATE SET times = times + 1",
			canonical, instant(b.options.Now()))
		if err != nil {
			return err
		}
		_, err = w.row(calm, "SELECT count(*) FROM asked", nil, &count)
		return err
	})
	return count, err
}

// Questions returns the canonical texts of all questions asked so far, the first first.
func (b *Book) Questions(ctx context.Context) ([]string, error) {
	db, err := b.reader()
	if err != nil {
		return nil, err
	}
	list, err := column(ctx, db, "SELECT question FROM asked ORDER BY first, question")
	return list, explain(err, b.path)
}
