package reckon

func yieldCalculators() []Calculator { return nil }
