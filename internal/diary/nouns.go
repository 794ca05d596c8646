package diary

import (
	"fmt"

	"fairplot/internal/garden"
)

// nouns is the diary's whole vocabulary; it is read only.
var nouns = map[garden.Kind]noun{
	garden.KindSite: siteNoun, garden.KindGarden: gardenNoun, garden.KindBed: bedNoun, garden.KindCrop: cropNoun,
	garden.KindVariety: varietyNoun, garden.KindPlanting: plantingNoun, garden.KindHarvest: harvestNoun, garden.KindWork: workNoun,
	garden.KindCultivation: cultivationNoun, garden.KindAmendment: amendmentNoun, garden.KindWatering: wateringNoun,
	garden.KindMeasurement: measurementNoun, garden.KindSoilTest: soilTestNoun, garden.KindCover: coverNoun, garden.KindLoss: lossNoun,
	garden.KindNote: noteNoun, garden.KindTreatment: treatmentNoun, garden.KindWeather: weatherNoun, garden.KindMaterial: materialNoun,
	garden.KindMeasure: measureNoun, garden.KindTrial: trialNoun, garden.KindPerson: personNoun, garden.KindDevice: deviceNoun,
	garden.KindSetting: settingNoun, garden.KindPicture: pictureNoun,
}

// usedBy says what still names the record, "" if nothing does. Beds, gardens and plantings are what other records hang on.
func usedBy(x *garden.Index, rec garden.Record) string {
	switch v := rec.(type) {
	case garden.Garden:
		return several(len(x.BedsOf(v.ID)), "bed")
	case garden.Bed:
		return several(len(x.PlantingsIn(v.ID)), "planting")
	case garden.Planting:
		return several(len(x.HarvestsOf(v.ID)), "harvest")
	}
	return ""
}

func several(n int, what string) string {
	switch n {
	case 0:
		return ""
	case 1:
		return "one " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
