package garden

import "fairplot/internal/civil"

// The methods every record has, in the order of the kinds; what is special to a record stands beside its type.

// Kind is KindSite.
func (r Site) Kind() Kind { return KindSite }

// Identity is the record's id.
func (r Site) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Site) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Site) Day() civil.Date { return civil.Date{} }

func (r Site) with(id ID, rev int) Record {
	r.ID, r.Rev = SiteID(id), rev
	return r
}

// Kind is KindGarden.
func (r Garden) Kind() Kind { return KindGarden }

// Identity is the record's id.
func (r Garden) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Garden) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Garden) Day() civil.Date { return civil.Date{} }

func (r Garden) with(id ID, rev int) Record {
	r.ID, r.Rev = GardenID(id), rev
	return r
}

// Kind is KindBed.
func (r Bed) Kind() Kind { return KindBed }

// Identity is the record's id.
func (r Bed) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Bed) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Bed) Day() civil.Date { return civil.Date{} }

func (r Bed) with(id ID, rev int) Record {
	r.ID, r.Rev = BedID(id), rev
	return r
}

// Kind is KindCrop.
func (r Crop) Kind() Kind { return KindCrop }

// Identity is the record's id.
func (r Crop) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Crop) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Crop) Day() civil.Date { return civil.Date{} }

func (r Crop) with(id ID, rev int) Record {
	r.ID, r.Rev = Ref[Crop](id), rev
	return r
}

// Kind is KindVariety.
func (r Variety) Kind() Kind { return KindVariety }

// Identity is the record's id.
func (r Variety) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Variety) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Variety) Day() civil.Date { return civil.Date{} }

func (r Variety) with(id ID, rev int) Record {
	r.ID, r.Rev = Ref[Variety](id), rev
	return r
}

// Kind is KindPlanting.
func (r Planting) Kind() Kind { return KindPlanting }

// Identity is the record's id.
func (r Planting) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Planting) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Planting) Day() civil.Date { return r.Date.Date }

func (r Planting) with(id ID, rev int) Record {
	r.ID, r.Rev = PlantingID(id), rev
	return r
}

// Kind is KindHarvest.
func (r Harvest) Kind() Kind { return KindHarvest }

// Identity is the record's id.
func (r Harvest) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Harvest) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Harvest) Day() civil.Date { return r.Date }

func (r Harvest) with(id ID, rev int) Record {
	r.ID, r.Rev = HarvestID(id), rev
	return r
}

// Kind is KindWork.
func (r Work) Kind() Kind { return KindWork }

// Identity is the record's id.
func (r Work) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Work) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Work) Day() civil.Date { return r.Date }

func (r Work) with(id ID, rev int) Record {
	r.ID, r.Rev = Ref[Work](id), rev
	return r
}

// Kind is KindCultivation.
func (r Cultivation) Kind() Kind { return KindCultivation }

// Identity is the record's id.
func (r Cultivation) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Cultivation) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Cultivation) Day() civil.Date { return r.Date }

func (r Cultivation) with(id ID, rev int) Record {
	r.ID, r.Rev = Ref[Cultivation](id), rev
	return r
}

// Kind is KindAmendment.
func (r Amendment) Kind() Kind { return KindAmendment }

// Identity is the record's id.
func (r Amendment) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Amendment) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Amendment) Day() civil.Date { return r.Date }

func (r Amendment) with(id ID, rev int) Record {
	r.ID, r.Rev = Ref[Amendment](id), rev
	return r
}

// Kind is KindWatering.
func (r Watering) Kind() Kind { return KindWatering }

// Identity is the record's id.
func (r Watering) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Watering) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Watering) Day() civil.Date { return r.Date }

func (r Watering) with(id ID, rev int) Record {
	r.ID, r.Rev = Ref[Watering](id), rev
	return r
}

// Kind is KindCover.
func (r Cover) Kind() Kind { return KindCover }

// Identity is the record's id.
func (r Cover) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Cover) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Cover) Day() civil.Date { return r.On }

func (r Cover) with(id ID, rev int) Record {
	r.ID, r.Rev = Ref[Cover](id), rev
	return r
}

// Kind is KindTreatment.
func (r Treatment) Kind() Kind { return KindTreatment }

// Identity is the record's id.
func (r Treatment) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Treatment) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Treatment) Day() civil.Date { return r.Date }

func (r Treatment) with(id ID, rev int) Record {
	r.ID, r.Rev = Ref[Treatment](id), rev
	return r
}

// Kind is KindMeasurement.
func (r Measurement) Kind() Kind { return KindMeasurement }

// Identity is the record's id.
func (r Measurement) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Measurement) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Measurement) Day() civil.Date { return r.Date }

func (r Measurement) with(id ID, rev int) Record {
	r.ID, r.Rev = Ref[Measurement](id), rev
	return r
}

// Kind is KindSoilTest.
func (r SoilTest) Kind() Kind { return KindSoilTest }

// Identity is the record's id.
func (r SoilTest) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r SoilTest) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r SoilTest) Day() civil.Date { return r.Date }

func (r SoilTest) with(id ID, rev int) Record {
	r.ID, r.Rev = Ref[SoilTest](id), rev
	return r
}

// Kind is KindLoss.
func (r Loss) Kind() Kind { return KindLoss }

// Identity is the record's id.
func (r Loss) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Loss) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Loss) Day() civil.Date { return r.Date }

func (r Loss) with(id ID, rev int) Record {
	r.ID, r.Rev = Ref[Loss](id), rev
	return r
}

// Kind is KindNote.
func (r Note) Kind() Kind { return KindNote }

// Identity is the record's id.
func (r Note) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Note) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Note) Day() civil.Date { return r.Date }

func (r Note) with(id ID, rev int) Record {
	r.ID, r.Rev = Ref[Note](id), rev
	return r
}

// Kind is KindPicture.
func (r Picture) Kind() Kind { return KindPicture }

// Identity is the record's id.
func (r Picture) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Picture) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Picture) Day() civil.Date { return r.Date }

func (r Picture) with(id ID, rev int) Record {
	r.ID, r.Rev = PictureID(id), rev
	return r
}

// Kind is KindWeather.
func (r WeatherDay) Kind() Kind { return KindWeather }

// Identity is the record's id.
func (r WeatherDay) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r WeatherDay) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r WeatherDay) Day() civil.Date { return r.Date }

func (r WeatherDay) with(id ID, rev int) Record {
	r.ID, r.Rev = Ref[WeatherDay](id), rev
	return r
}

// Kind is KindMaterial.
func (r Material) Kind() Kind { return KindMaterial }

// Identity is the record's id.
func (r Material) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Material) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Material) Day() civil.Date { return civil.Date{} }

func (r Material) with(id ID, rev int) Record {
	r.ID, r.Rev = Ref[Material](id), rev
	return r
}

// Kind is KindMeasure.
func (r Measure) Kind() Kind { return KindMeasure }

// Identity is the record's id.
func (r Measure) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Measure) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Measure) Day() civil.Date { return civil.Date{} }

func (r Measure) with(id ID, rev int) Record {
	r.ID, r.Rev = Ref[Measure](id), rev
	return r
}

// Kind is KindTrial.
func (r Trial) Kind() Kind { return KindTrial }

// Identity is the record's id.
func (r Trial) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Trial) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Trial) Day() civil.Date { return civil.Date{} }

func (r Trial) with(id ID, rev int) Record {
	r.ID, r.Rev = TrialID(id), rev
	return r
}

// Kind is KindPerson.
func (r Person) Kind() Kind { return KindPerson }

// Identity is the record's id.
func (r Person) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Person) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Person) Day() civil.Date { return civil.Date{} }

func (r Person) with(id ID, rev int) Record {
	r.ID, r.Rev = PersonID(id), rev
	return r
}

// Kind is KindDevice.
func (r Device) Kind() Kind { return KindDevice }

// Identity is the record's id.
func (r Device) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Device) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Device) Day() civil.Date { return civil.Date{} }

func (r Device) with(id ID, rev int) Record {
	r.ID, r.Rev = DeviceID(id), rev
	return r
}

// Kind is KindSetting.
func (r Setting) Kind() Kind { return KindSetting }

// Identity is the record's id.
func (r Setting) Identity() ID { return ID(r.ID) }

// Revision counts the record's changes.
func (r Setting) Revision() int { return r.Rev }

// Day is the day the record belongs to, if any.
func (r Setting) Day() civil.Date { return civil.Date{} }

func (r Setting) with(id ID, rev int) Record {
	r.ID, r.Rev = Ref[Setting](id), rev
	return r
}
