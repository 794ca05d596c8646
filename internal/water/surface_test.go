package water

import (
	"math"
	"testing"
)

// row is what was worked out against what the origin prints, within half a unit of its last digit.
type row struct {
	what              string
	got, want, within float64
	origin            string
}

func compare(t *testing.T, rows []row) {
	t.Helper()
	for _, r := range rows {
		if math.IsNaN(r.got) || math.Abs(r.got-r.want) > r.within*(1+1e-9) {
			t.Errorf("%s: %s is %.6g, want %g ± %g", r.origin, r.what, r.got, r.want, r.within)
		}
	}
}

func TestBareSoilDriesAsInFAO56(t *testing.T) {
	s := surface{all: 20, first: 9, wetted: 1}
	gone := []float64{4.73, 9.45, 13.98, 16.57, 18.04, 18.88, 19.36, 19.64, 19.79, 19.88}
	used := []float64{5.4, 5.4, 5.2, 3.3, 2.1, 1.5, 1.2, 0.9, 0.8, 0.8}
	slow := []float64{1, 1, 0.959, 0.547, 0.312, 0.178, 0.102, 0.058, 0.033, 0.019}
	for i := range gone {
		kr := s.slows()
		ke := Evaporates(1.20, 0.15, kr, 1)
		s.dry(MM(ke*4.5), 1)
		compare(t, []row{
			{"Kr", kr, slow[i], 0.0005, "FAO56 ex. 31"},
			{"De", float64(s.gone), gone[i], 0.0055, "FAO56 ex. 31; day 1 printed 4.73 for 4.725"},
			{"ETc", (ke + 0.15) * 4.5, used[i], 0.0501, "FAO56 ex. 31"},
		})
	}
}

// FAO-56 first printed example 35 with wrong evaporation on day 3; its errata say that it was worked out anew. The table here is worked out
// from the inputs by hand arithmetic; cover rises from 0.08 to 0.14, Kcb from 0.30 to 0.40.
func TestExample35PutRight(t *testing.T) {
	soil := Soil{FieldCapacity: 0.23, WiltingPoint: 0.10, FirstMM: 8}
	s := surface{all: soil.Surface(topsoil), first: 8, gone: 18, wetted: 1}
	et0 := []MM{4.5, 5.0, 3.9, 4.2, 4.8, 2.7, 5.8, 5.1, 4.7, 5.2}
	wantKe := []float64{0.912, 0.901, 0.644, 0.360, 0.192, 0.605, 0.441, 0.193, 0.098, 0.053}
	wantDe := []float64{5.13, 10.76, 13.90, 15.79, 16.94, 12.78, 15.69, 16.82, 17.34, 17.67}
	wantET := []float64{5.45, 6.06, 3.77, 2.91, 2.57, 2.59, 4.68, 2.91, 2.29, 2.36}
	compare(t, []row{{"TEW", float64(s.all), 18, 1e-9, "FAO56 ex. 35"}, {"Kc max", Most(0.3, 1.6, 0.35, 0.3), 1.21, 0.005, "FAO56 ex. 35"}})
	for i := range et0 {
		rain, given := MM(0), MM(0)
		if i == 0 {
			given = 40
		}
		if i == 5 {
			rain = 6
		}
		s.wet(rain, given, 0.8)
		kcb := 0.30 + 0.10*float64(i)/9
		cover := 0.08 + 0.06*float64(i)/9
		exposed := math.Min(1-cover, s.wetted)
		ke := Evaporates(Most(kcb, 1.6, 0.35, 0.3), kcb, s.slows(), exposed)
		s.dry(MM(ke)*et0[i], exposed)
		compare(t, []row{
			{"Ke", ke, wantKe[i], 0.0006, "FAO56 ex. 35, corrected"},
			{"De", float64(s.gone), wantDe[i], 0.0101, "FAO56 ex. 35, corrected"},
			{"ETc", (kcb + ke) * float64(et0[i]), wantET[i], 0.0061, "FAO56 ex. 35, corrected"},
		})
	}
	if got := (0.3222 + 0.644) * 3.9; math.Abs(got-4.0) < 0.2 {
		t.Errorf("day 3 uses %.2f mm, but the 4.0 of the first print is a known error", got)
	}
}

func TestRootZoneOfExample37(t *testing.T) {
	soil := Soil{FieldCapacity: 0.32, WiltingPoint: 0.12}
	held := soil.Held(0.8)
	compare(t, []row{{"TAW", float64(held), 160, 1e-9, "FAO56 ex. 37"}, {"RAW", 0.40 * float64(held), 64, 1e-9, "FAO56 ex. 37"}})
	bed := Bed{Single: true, FixedP: true, Crop: Coefficients{KcInitial: 1.2, KcMiddle: 1.2, KcEnd: 1.2, RootLow: 0.8, P: 0.40}, Stages: Stages{Middle: 100}, Soil: soil, Start: 55}
	a := bed.open()
	a.missing = 55
	wantKs := []float64{1, 1, 0.969, 0.908, 0.851, 0.798, 0.748, 0.702, 0.658, 0.617}
	wantET := []float64{6.0, 6.0, 5.8, 5.4, 5.1, 4.8, 4.5, 4.2, 3.9, 3.7}
	wantDr := []float64{61, 67, 72.81, 78.26, 83.37, 88.16, 92.65, 96.86, 100.81, 104.51}
	for i := range wantKs {
		l := a.step(i+1, Day{ET0: 5})
		compare(t, []row{
			{"Ks", l.Ks, wantKs[i], 0.0006, "FAO56 ex. 37"}, {"ETc adj", float64(l.Used), wantET[i], 0.0501, "FAO56 ex. 37"},
			{"Dr", float64(l.Missing), wantDr[i], 0.0055, "FAO56 ex. 37"},
		})
	}
}

// Example 38 uses evaporation from before the errata; only its bookkeeping is a check.
func TestBookkeepingOfExample38(t *testing.T) {
	compare(t, []row{{"RAW at 0.30 m", 0.6 * float64(Soil{FieldCapacity: 0.23, WiltingPoint: 0.10}.Held(0.30)), 23, 0.5, "FAO56 ex. 38"},
		{"RAW at 0.35 m", 0.6 * float64(Soil{FieldCapacity: 0.23, WiltingPoint: 0.10}.Held(0.35)), 27, 0.5, "FAO56 ex. 38"}})
	etc := []MM{5.5, 6.1, 4.0, 2.9, 2.5, 2.7, 4.7, 2.8, 2.2, 6.3}
	want := []float64{5, 12, 16, 18, 21, 18, 22, 25, 27, 6}
	a := &account{missing: 23.4}
	for i, e := range etc {
		in := MM(0)
		switch i {
		case 0:
			in = 40
		case 5:
			in = 6
		case 9:
			in = 27
		}
		l := Line{Kcb: float64(e), Held: 45}
		a.Crop.P, a.FixedP = 0.8, true
		a.draw(&l, 1, in)
		if i == 0 {
			compare(t, []row{{"drained", float64(l.Drained), 17, 0.5, "FAO56 ex. 38: 40 - 23"}})
		}
		compare(t, []row{{"Dr", float64(a.missing), want[i], 1.1, "FAO56 ex. 38, whole mm after a sum of rounded uses"}})
	}
}
