package analysis

import "fairplot/internal/num/model"

// Result is the answer; its JSON is the contract of the plain-table analysis. A quantity that does not exist is absent.
type Result struct {
	Rows        int                `json:"rows"`     // analysed
	LeftOut     int                `json:"left_out"` // without a response
	Scale       string             `json:"scale"`    // identity or log
	Method      string             `json:"method"`   // least squares or REML
	Criterion   *float64           `json:"criterion,omitempty"`
	Components  []Component        `json:"components,omitempty"`
	Terms       []Term             `json:"terms,omitempty"`
	Means       []model.Mean       `json:"means,omitempty"`
	Differences []model.Difference `json:"differences,omitempty"`
	Aliased     []model.Alias      `json:"aliased,omitempty"`

	Randomisation []Randomised  `json:"randomisation,omitempty"` // only where it was asked for
	Doubts        []model.Doubt `json:"doubts,omitempty"`
	Search        *Search       `json:"search,omitempty"`
}

// Component is one variance; the residual stands last.
type Component struct {
	Name       string  `json:"name"`
	Variance   float64 `json:"variance"`
	OnBoundary bool    `json:"on_boundary"`
}

// Term is the type II test of one treatment term.
type Term struct {
	Name  string   `json:"name"`
	F     *float64 `json:"f,omitempty"`
	NumDF float64  `json:"num_df"`
	DenDF *float64 `json:"den_df,omitempty"`
	P     *float64 `json:"p,omitempty"`
}

// Search is how the minimum was found. Gradient is the largest projected component on the scale of relative standard
// deviations.
type Search struct {
	Evaluations int     `json:"evaluations"`
	Converged   bool    `json:"converged"`
	Gradient    float64 `json:"gradient"`
}

// The methods of fitting.
const (
	LeastSquares = "least squares"
	REML         = "REML"
)

// The codes of doubts that arise here.
const (
	NoResidual    = "no-residual"      // as many parameters as rows
	PerfectFit    = "perfect-fit"      // nothing is left over
	ZeroVariance  = "zero-variance"    // a component on its boundary
	SearchStopped = "search-stopped"   // before the gradient vanished
	OtherDF       = "satterthwaite-df" // Kenward-Roger could not be had
	UnscaledF     = "unscaled-f"       // Kenward and Roger's scale came out at 0 or below
	NotRandomised = "no-randomisation" // a factor whose lot cannot be read off the blocks
	NotTested     = "not-tested"       // a term without a test
)
