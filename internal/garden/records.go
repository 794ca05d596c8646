package garden

import (
	"bytes"
	"encoding/json"
	"fmt"
)

// Records is what a book holds, or the part of it that was asked for. Lists stand in order of day, then of id.
type Records struct {
	Sites        []Site
	Gardens      []Garden
	Beds         []Bed
	Crops        []Crop
	Varieties    []Variety
	Plantings    []Planting
	Harvests     []Harvest
	Works        []Work
	Cultivations []Cultivation
	Amendments   []Amendment
	Waterings    []Watering
	Covers       []Cover
	Treatments   []Treatment
	Measurements []Measurement
	SoilTests    []SoilTest
	Losses       []Loss
	Notes        []Note
	Pictures     []Picture
	Weather      []WeatherDay
	Materials    []Material
	Measures     []Measure
	Trials       []Trial
	Persons      []Person
	Devices      []Device
	Settings     []Setting
}

// Kinds lists every kind of record in the order they must be added, so that what is named stands before what names it.
func Kinds() []Kind {
	return []Kind{
		KindPerson, KindDevice, KindSetting, KindSite, KindGarden, KindBed, KindCrop, KindVariety,
		KindMaterial, KindMeasure, KindTrial, KindPlanting, KindHarvest, KindWork, KindCultivation, KindAmendment,
		KindWatering, KindCover, KindTreatment, KindMeasurement, KindSoilTest, KindLoss, KindPicture, KindNote, KindWeather,
	}
}

// Put appends the record to its list.
func (r *Records) Put(rec Record) {
	switch v := rec.(type) {
	case Site:
		r.Sites = append(r.Sites, v)
	case Garden:
		r.Gardens = append(r.Gardens, v)
	case Bed:
		r.Beds = append(r.Beds, v)
	case Crop:
		r.Crops = append(r.Crops, v)
	case Variety:
		r.Varieties = append(r.Varieties, v)
	case Planting:
		r.Plantings = append(r.Plantings, v)
	case Harvest:
		r.Harvests = append(r.Harvests, v)
	case Work:
		r.Works = append(r.Works, v)
	case Cultivation:
		r.Cultivations = append(r.Cultivations, v)
	case Amendment:
		r.Amendments = append(r.Amendments, v)
	case Watering:
		r.Waterings = append(r.Waterings, v)
	case Cover:
		r.Covers = append(r.Covers, v)
	case Treatment:
		r.Treatments = append(r.Treatments, v)
	case Measurement:
		r.Measurements = append(r.Measurements, v)
	case SoilTest:
		r.SoilTests = append(r.SoilTests, v)
	case Loss:
		r.Losses = append(r.Losses, v)
	case Note:
		r.Notes = append(r.Notes, v)
	case Picture:
		r.Pictures = append(r.Pictures, v)
	case WeatherDay:
		r.Weather = append(r.Weather, v)
	case Material:
		r.Materials = append(r.Materials, v)
	case Measure:
		r.Measures = append(r.Measures, v)
	case Trial:
		r.Trials = append(r.Trials, v)
	case Person:
		r.Persons = append(r.Persons, v)
	case Device:
		r.Devices = append(r.Devices, v)
	case Setting:
		r.Settings = append(r.Settings, v)
	default:
		panic(fmt.Sprintf("garden: no list for %T", rec))
	}
}

// List returns the records of the kind, in the order of the list.
func (r *Records) List(k Kind) []Record {
	switch k {
	case KindSite:
		return list(r.Sites)
	case KindGarden:
		return list(r.Gardens)
	case KindBed:
		return list(r.Beds)
	case KindCrop:
		return list(r.Crops)
	case KindVariety:
		return list(r.Varieties)
	case KindPlanting:
		return list(r.Plantings)
	case KindHarvest:
		return list(r.Harvests)
	case KindWork:
		return list(r.Works)
	case KindCultivation:
		return list(r.Cultivations)
	case KindAmendment:
		return list(r.Amendments)
	case KindWatering:
		return list(r.Waterings)
	case KindCover:
		return list(r.Covers)
	case KindTreatment:
		return list(r.Treatments)
	case KindMeasurement:
		return list(r.Measurements)
	case KindSoilTest:
		return list(r.SoilTests)
	case KindLoss:
		return list(r.Losses)
	case KindNote:
		return list(r.Notes)
	case KindPicture:
		return list(r.Pictures)
	case KindWeather:
		return list(r.Weather)
	case KindMaterial:
		return list(r.Materials)
	case KindMeasure:
		return list(r.Measures)
	case KindTrial:
		return list(r.Trials)
	case KindPerson:
		return list(r.Persons)
	case KindDevice:
		return list(r.Devices)
	case KindSetting:
		return list(r.Settings)
	}
	return nil
}

func list[T Record](items []T) []Record {
	out := make([]Record, len(items))
	for i, v := range items {
		out[i] = v
	}
	return out
}

// Encode returns the body of the record as an operation carries it: JSON without id and revision.
func Encode(rec Record) ([]byte, error) { return json.Marshal(rec) }

// Decode reads a body of the kind under the id and revision. A field it does not know is refused: it would be lost.
func Decode(k Kind, id ID, rev int, body []byte) (Record, error) {
	switch k {
	case KindSite:
		return decode[Site](k, id, rev, body)
	case KindGarden:
		return decode[Garden](k, id, rev, body)
	case KindBed:
		return decode[Bed](k, id, rev, body)
	case KindCrop:
		return decode[Crop](k, id, rev, body)
	case KindVariety:
		return decode[Variety](k, id, rev, body)
	case KindPlanting:
		return decode[Planting](k, id, rev, body)
	case KindHarvest:
		return decode[Harvest](k, id, rev, body)
	case KindWork:
		return decode[Work](k, id, rev, body)
	case KindCultivation:
		return decode[Cultivation](k, id, rev, body)
	case KindAmendment:
		return decode[Amendment](k, id, rev, body)
	case KindWatering:
		return decode[Watering](k, id, rev, body)
	case KindCover:
		return decode[Cover](k, id, rev, body)
	case KindTreatment:
		return decode[Treatment](k, id, rev, body)
	case KindMeasurement:
		return decode[Measurement](k, id, rev, body)
	case KindSoilTest:
		return decode[SoilTest](k, id, rev, body)
	case KindLoss:
		return decode[Loss](k, id, rev, body)
	case KindNote:
		return decode[Note](k, id, rev, body)
	case KindPicture:
		return decode[Picture](k, id, rev, body)
	case KindWeather:
		return decode[WeatherDay](k, id, rev, body)
	case KindMaterial:
		return decode[Material](k, id, rev, body)
	case KindMeasure:
		return decode[Measure](k, id, rev, body)
	case KindTrial:
		return decode[Trial](k, id, rev, body)
	case KindPerson:
		return decode[Person](k, id, rev, body)
	case KindDevice:
		return decode[Device](k, id, rev, body)
	case KindSetting:
		return decode[Setting](k, id, rev, body)
	}
	return nil, invalid("kind", fmt.Sprintf("%q is no kind of record", k), "the kinds are those that the help of the command lists")
}

func decode[T Record](k Kind, id ID, rev int, body []byte) (Record, error) {
	var v T
	dec := json.NewDecoder(bytes.NewReader(body))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&v); err != nil {
		return nil, &Error{Kind: Invalid, Field: string(k), Text: "the record cannot be read", Hint: "was it written by a newer version?", Cause: err}
	}
	return v.with(id, rev), nil
}
