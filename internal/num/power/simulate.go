package power

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"sync"
	"sync/atomic"

	"fairplot/internal/num/dense"
	"fairplot/internal/num/dist"
	"fairplot/internal/num/lmm"
)

// Simulation is a trial of any design, to be fitted many times to responses drawn from what is supposed to be true.
type Simulation struct {
	X          dense.Matrix // plots × fixed effects, of full column rank
	Groupings  []lmm.Grouping
	Means      []float64 // true mean of each plot
	Variances  []float64 // true variance of each grouping, the residual last
	Hypothesis dense.Matrix
	Level      float64
	Method     lmm.Method
}

// Simulated is what came out.
type Simulated struct {
	Runs     int
	Found    int     // tests significant at the level
	Unfitted int     // responses that could not be fitted or tested; they count as not found
	Power    float64 // Found over Runs
	Error    float64 // its standard error
}

// chunk is how many runs share one stream, whoever works them off: the result does not depend on the number of processors.
const chunk = 50

// Run draws and fits the given number of responses on all processors. The error is that of lmm.New, or of lengths that do not agree.
func (s Simulation) Run(runs int, random *rand.Rand) (Simulated, error) {
	if err := s.check(runs); err != nil {
		return Simulated{}, err
	}
	seed := random.Uint64()
	model, err := lmm.New(lmm.Data{Y: s.draw(rand.New(rand.NewPCG(seed, 0)), nil), X: s.X, Groupings: s.Groupings})
	if err != nil {
		return Simulated{}, err
	}
	chunks := (runs + chunk - 1) / chunk
	var next, found, unfitted atomic.Int64
	var wait sync.WaitGroup
	for range min(chunks, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			m, y := model.Clone(), make([]float64, len(s.Means))
			for c := next.Add(1); c <= int64(chunks); c = next.Add(1) {
				own := rand.New(rand.NewPCG(seed, uint64(c)))
				for range min(chunk, runs-chunk*int(c-1)) {
					s.draw(own, y)
					switch p, err := s.test(m, y); {
					case err != nil:
						unfitted.Add(1)
					case p <= s.Level:
						found.Add(1)
					}
				}
			}
		})
	}
	wait.Wait()
	out := Simulated{Runs: runs, Found: int(found.Load()), Unfitted: int(unfitted.Load())}
	out.Power = float64(out.Found) / float64(runs)
	out.Error = math.Sqrt(out.Power * (1 - out.Power) / float64(runs))
	return out, nil
}

func (s Simulation) check(runs int) error {
	switch n := len(s.Means); {
	case runs < 1:
		return fmt.Errorf("power: %d runs: it takes at least one", runs)
	case s.X.Rows != n:
		return fmt.Errorf("power: %d means for %d plots", n, s.X.Rows)
	case len(s.Variances) != len(s.Groupings)+1:
		return fmt.Errorf("power: %d variances for %d groupings and the residual", len(s.Variances), len(s.Groupings))
	case s.Hypothesis.Cols != s.X.Cols:
		return fmt.Errorf("power: a hypothesis on %d effects for a model with %d", s.Hypothesis.Cols, s.X.Cols)
	}
	for _, v := range s.Variances {
		if !(v >= 0) || math.IsInf(v, 1) {
			return fmt.Errorf("power: a variance of %v", v)
		}
	}
	return nil
}

// draw fills y, made if nil, with a response.
func (s Simulation) draw(random *rand.Rand, y []float64) []float64 {
	if y == nil {
		y = make([]float64, len(s.Means))
	}
	residual := math.Sqrt(s.Variances[len(s.Groupings)])
	for i, mean := range s.Means {
		y[i] = mean + residual*random.NormFloat64()
	}
	for k, g := range s.Groupings {
		spread := math.Sqrt(s.Variances[k])
		effects := make([]float64, g.Levels)
		for l := range effects {
			effects[l] = spread * random.NormFloat64()
		}
		for i, class := range g.Class {
			y[i] += effects[class]
		}
	}
	return y
}

// test returns the p-value of the hypothesis.
func (s Simulation) test(m *lmm.Model, y []float64) (float64, error) {
	if err := m.SetY(y); err != nil {
		return 1, err
	}
	fit, err := m.Fit()
	if err != nil {
		return 1, err
	}
	inference, err := fit.By(s.Method)
	if err != nil {
		return 1, err
	}
	t, err := inference.TestRows(s.Hypothesis)
	if err != nil {
		return 1, err
	}
	return dist.FUpper(t.F, t.NumDF, t.DenDF), nil
}
