package water

import (
	"math"
	"sync"

	"fairplot/internal/source"
	"fairplot/internal/unit"
)

// Soil is how a soil holds water.
type Soil struct {
	Name          string
	FieldCapacity float64 // share of the volume that drains no further
	WiltingPoint  float64 // share of the volume that roots cannot take
	FirstMM       MM      // what evaporates from the bare wet surface as fast as the sky takes it (REW)
	Source        string
	Status        source.Status
}

// topsoil is the depth that dries by evaporation.
const topsoil = 0.10 * unit.Metre // FAO56 table 19

// Surface returns all the water that can evaporate from the topsoil (TEW).
func (s Soil) Surface(depth unit.Length) MM {
	return MM((s.FieldCapacity - 0.5*s.WiltingPoint) * millimetres(depth)) // FAO56 eq. 73
}

// Held returns the water that roots of the depth can take (TAW).
func (s Soil) Held(roots unit.Length) MM {
	return MM((s.FieldCapacity - s.WiltingPoint) * millimetres(roots)) // FAO56 eq. 82
}

// Depleted returns the water missing to field capacity when the soil holds the share of its volume.
func (s Soil) Depleted(holds float64, roots unit.Length) MM {
	return MM((s.FieldCapacity - holds) * millimetres(roots)) // FAO56 eq. 87
}

// Range is the spread of a soil's figures as printed.
type Range struct{ Low, High float64 }

// Mid returns the middle of the range.
func (r Range) Mid() float64 { return (r.Low + r.High) / 2 }

// Texture is one line of the table of soils.
type Texture struct {
	Name                                   string
	FieldCapacity, WiltingPoint, Available Range // shares of the volume
	First, Surface                         Range // REW and TEW, mm
	Source                                 string
	Status                                 source.Status
}

var textures = sync.OnceValue(func() []Texture {
	var out []Texture
	for _, r := range source.Table(data, "texture") {
		v := source.Numbers(r[1:11])
		pair := func(i int) Range { return Range{v[2*i], v[2*i+1]} }
		out = append(out, Texture{r[0], pair(0), pair(1), pair(2), pair(3), pair(4), r[11], source.Status(r[12])})
	}
	return out
})

// Textures returns the table of soils, lightest first.
func Textures() []Texture { return append([]Texture(nil), textures()...) }

// TextureOf returns the soil of the name as Textures spells it.
func TextureOf(name string) (Texture, bool) {
	for _, t := range textures() {
		if t.Name == name {
			return t, true
		}
	}
	return Texture{}, false
}

// Soil returns the middle of the texture's ranges.
func (t Texture) Soil() Soil {
	return Soil{t.Name, t.FieldCapacity.Mid(), t.WiltingPoint.Mid(), MM(t.First.Mid()), t.Source, t.Status}
}

// Ready returns the share p of the held water that the crop can take before it runs short, for a use of etc in mm a day.
func Ready(p float64, etc MM) float64 {
	return clamp(p+0.04*(5-float64(etc)), 0.1, 0.8) // FAO56 table 22
}

// Stress returns the share of its full use that the crop reaches when dr of held is gone; p is the share it can take freely.
func Stress(dr, held MM, p float64) float64 {
	if float64(dr) <= p*float64(held) {
		return 1
	}
	return clamp(float64(held-dr)/((1-p)*float64(held)), 0, 1) // FAO56 eq. 84
}

// Salt is how a crop bears salt in the soil.
type Salt struct {
	Threshold, Loss Range // dS/m of the saturated extract; % of the yield per dS/m beyond it
	Rating          string
	Source          string
	Status          source.Status
}

// SaltOf returns how the crop bears salt.
func SaltOf(crop string) (Salt, bool) {
	for _, r := range source.Table(data, "salt") {
		if r[0] == crop {
			v := source.Numbers(r[1:5])
			return Salt{Range{v[0], v[1]}, Range{v[2], v[3]}, r[5], r[6], source.Status(r[7])}, true
		}
	}
	return Salt{}, false
}

// Salted returns the share of the yield that is left at the salinity in dS/m, for one threshold and loss (%).
func Salted(salinity, threshold, loss float64) float64 {
	return clamp(1-(salinity-threshold)*loss/100, 0, 1) // FAO56 eq. 89
}

// SaltStress returns Ks of salt alone; ky is the crop's response to water.
func SaltStress(salinity, threshold, loss, ky float64) float64 {
	return clamp(1-loss/(ky*100)*math.Max(0, salinity-threshold), 0, 1) // FAO56 eq. 91
}

// Response is how strongly a shortage of water over the whole season lowers the yield.
type Response struct {
	Ky     float64
	Basis  string
	Source string
	Status source.Status
}

// ResponseOf returns the crop's response; one that is not listed has 1, as FAO-56 advises, and is marked so.
func ResponseOf(crop string) Response {
	for _, r := range source.Table(data, "response") {
		if r[0] == crop {
			return Response{source.Numbers(r[1:2])[0], r[2], r[3], source.Status(r[4])}
		}
	}
	return Response{1, "not listed: 1", "FAO56", source.Derived} // FAO56 ch. 8
}

// YieldShare returns the share of the full yield that is left when the crop used the share of the water it would have used.
func (r Response) YieldShare(used float64) float64 {
	return clamp(1-r.Ky*(1-used), 0, 1) // FAO56 eq. 90
}

// StressFromYield returns the stress that a yield below the full one points to.
func (r Response) StressFromYield(share float64) float64 {
	return 1 - (1-share)/r.Ky // FAO56 eq. 103
}
