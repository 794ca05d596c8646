package book

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"

	"fairplot/internal/garden"
)

// PutPicture keeps the bytes of a picture and returns their SHA-256 in hexadecimal, under which a Picture record names them.
// The same bytes are kept once.
func (b *Book) PutPicture(ctx context.Context, data []byte) (hash string, err error) {
	sum := sha256.Sum256(data)
	hash = hex.EncodeToString(sum[:])
	err = b.transact(ctx, func(calm context.Context, w *writer) error {
		_, err := w.exec(calm, "INSERT INTO picture_bytes (hash, bytes) VALUES (?, ?) ON CONFLICT (hash) DO NOTHING", hash, data)
		return err
	})
	return hash, err
}

// Picture returns the bytes with the hash.
func (b *Book) Picture(ctx context.Context, hash string) (data []byte, err error) {
	db, err := b.reader()
	if err != nil {
		return nil, err
	}
	err = db.QueryRowContext(ctx, "SELECT bytes FROM picture_bytes WHERE hash = ?", hash).Scan(&data)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, &garden.Error{Kind: garden.Missing, Text: "the book does not have this picture", Hint: "was it taken on another phone that has not sent it yet?", Cause: err}
	}
	return data, explain(err, b.path)
}
