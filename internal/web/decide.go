package web

import (
	"context"
	"strings"

	"fairplot/internal/diary"
	"fairplot/internal/garden"
)

// decide hands a draft written at the table to the diary and keeps what comes of it. What it would ask back comes as an error that names the choices.
func (s *Server) decide(ctx context.Context, d diary.Draft) error {
	return s.alone(ctx, func(l *live) error {
		c := s.reader(l, s.Now(), garden.DeviceID{})
		c.Today, c.Asks = s.day(), true
		out, err := diary.Understand(c, d)
		if err != nil {
			return err
		}
		if len(out.Questions) > 0 {
			return asked(out.Questions[0])
		}
		if len(out.Operations) == 0 {
			return nil
		}
		_, err = s.Book.Keep(ctx, out.Operations)
		return err
	})
}

func asked(q diary.Question) error {
	var choices []string
	for _, c := range q.Choices {
		choices = append(choices, c.Says)
	}
	return &garden.Error{Kind: garden.Ambiguous, Field: q.Field, Text: q.Asks, Hint: strings.Join(choices, "; ")}
}
