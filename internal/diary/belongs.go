package diary

import "fairplot/internal/garden"

// BedsOf lists the beds a record belongs to.
func BedsOf(x *garden.Index, rec garden.Record) []garden.BedID {
	switch v := rec.(type) {
	case garden.Bed:
		return []garden.BedID{v.ID}
	case garden.Planting:
		return []garden.BedID{v.Bed}
	case garden.Harvest:
		return bedOr(x, v.Planting, v.Beds)
	case garden.Work:
		return bedOr(x, v.Planting, v.Beds)
	case garden.Cultivation:
		return v.Beds
	case garden.Amendment:
		return v.Beds
	case garden.Watering:
		return v.Beds
	case garden.Cover:
		return v.Beds
	case garden.Treatment:
		return bedOr(x, v.Planting, v.Beds)
	case garden.Measurement:
		return bedOr(x, v.Planting, []garden.BedID{v.Bed})
	case garden.SoilTest:
		return v.Beds
	case garden.Loss:
		return bedOr(x, v.Planting, nil)
	case garden.Note:
		return bedOr(x, v.Planting, v.Beds)
	}
	return nil
}

func bedOr(x *garden.Index, p garden.PlantingID, beds []garden.BedID) []garden.BedID {
	if v, ok := garden.Find(x, p); ok {
		return []garden.BedID{v.Bed}
	}
	return beds
}

// CropOf is the crop a record belongs to, "" for none.
func CropOf(x *garden.Index, rec garden.Record) string {
	of := func(p garden.PlantingID) string {
		v, _ := garden.Find(x, p)
		return v.Crop
	}
	switch v := rec.(type) {
	case garden.Crop:
		return v.Name
	case garden.Variety:
		return v.Crop
	case garden.Planting:
		return v.Crop
	case garden.Harvest:
		if !v.Placed() {
			return v.Crop
		}
		return of(v.Planting)
	case garden.Work:
		return of(v.Planting)
	case garden.Amendment:
		return v.MeantFor
	case garden.Measurement:
		return of(v.Planting)
	case garden.Loss:
		return of(v.Planting)
	case garden.Treatment:
		return of(v.Planting)
	case garden.Note:
		return of(v.Planting)
	}
	return ""
}
