package garden

import (
	"fairplot/internal/civil"
	"fairplot/internal/unit"
)

// Measurement is one figure read off a planting or a bed; Value of N where it is a count of some ("forked roots of n").
type Measurement struct {
	ID       Ref[Measurement] `json:"-"`
	Rev      int              `json:"-"`
	Planting PlantingID       `json:"planting,omitzero"`
	Bed      BedID            `json:"bed,omitzero"`
	What     string           `json:"what"`
	Value    float64          `json:"value"`
	Unit     string           `json:"unit,omitempty"`
	N        Maybe[int]       `json:"n,omitzero"`
	Date     civil.Date       `json:"date"`
	Note     string           `json:"note,omitempty"`
}

// SoilValue is one value of a soil test.
type SoilValue struct {
	What  string  `json:"what"` // "pH", "P", "K"
	Value float64 `json:"value"`
	Unit  string  `json:"unit,omitempty"`
}

// SoilTest is one laboratory or kit result.
type SoilTest struct {
	ID         Ref[SoilTest]      `json:"-"`
	Rev        int                `json:"-"`
	Beds       []BedID            `json:"beds,omitempty"`
	Garden     GardenID           `json:"garden,omitzero"`
	Date       civil.Date         `json:"date"`
	Depth      Maybe[unit.Length] `json:"depth,omitzero"`
	Cores      Maybe[int]         `json:"cores,omitzero"`
	Laboratory string             `json:"laboratory,omitempty"`
	Extractant string             `json:"extractant,omitempty"`
	Values     []SoilValue        `json:"values"`
	Note       string             `json:"note,omitempty"`
}

// Loss is a share of a crop that was lost before harvest.
type Loss struct {
	ID         Ref[Loss]   `json:"-"`
	Rev        int         `json:"-"`
	Planting   PlantingID  `json:"planting"`
	Share      float64     `json:"share"` // 0 to 1
	Cause      string      `json:"cause"`
	StrikesAll Maybe[bool] `json:"strikes_all,omitzero"` // could it strike every bed alike?
	Date       civil.Date  `json:"date"`
	Note       string      `json:"note,omitempty"`
}

// Note is a text with pictures.
type Note struct {
	ID       Ref[Note]   `json:"-"`
	Rev      int         `json:"-"`
	Beds     []BedID     `json:"beds,omitempty"`
	Garden   GardenID    `json:"garden,omitzero"`
	Planting PlantingID  `json:"planting,omitzero"`
	Text     string      `json:"text"`
	Pictures []PictureID `json:"pictures,omitempty"`
	Date     civil.Date  `json:"date"`
}

// Picture describes a picture; its bytes are kept apart under their SHA-256.
type Picture struct {
	ID     PictureID  `json:"-"`
	Rev    int        `json:"-"`
	Hash   string     `json:"hash"`
	Type   string     `json:"type"` // image/jpeg, image/png, image/webp
	Width  int        `json:"width"`
	Height int        `json:"height"`
	Size   int        `json:"size"` // bytes
	Date   civil.Date `json:"date"`
}

// WeatherDay is one day's weather at a site, or in a tunnel.
type WeatherDay struct {
	ID        Ref[WeatherDay]         `json:"-"`
	Rev       int                     `json:"-"`
	Site      SiteID                  `json:"site"`
	Tunnel    GardenID                `json:"tunnel,omitzero"` // measured under cover in this garden
	Date      civil.Date              `json:"date"`
	Min       Maybe[unit.Temperature] `json:"min,omitzero"`
	Max       Maybe[unit.Temperature] `json:"max,omitzero"`
	Rain      Maybe[unit.Length]      `json:"rain,omitzero"`
	Sunshine  Maybe[unit.Time]        `json:"sunshine,omitzero"`
	Radiation Maybe[float64]          `json:"radiation,omitzero"` // MJ/m² a day
	Wind      Maybe[float64]          `json:"wind,omitzero"`      // m/s, mean of the day
	Humidity  Maybe[float64]          `json:"humidity,omitzero"`  // mean relative humidity, 0 to 1
	Normal    bool                    `json:"normal,omitempty"`   // made from a monthly normal, not observed
	Source    string                  `json:"source,omitempty"`
}
