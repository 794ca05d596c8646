// Package garden holds a grower's records as plain values with their own checks: what there is (places, gardens,
// beds, crops, materials), what was done and seen (plantings, harvests, work, dressings, measurements) and
// the operations by which records change. It leaves out how they are stored, shown, or judged: no SQL, no
// HTTP, no files, no clock.
package garden

import "fairplot/internal/civil"

// Kind names a kind of record, as commands and files write it.
type Kind string

// The kinds of record.
const (
	KindSite        Kind = "site"
	KindGarden      Kind = "garden"
	KindBed         Kind = "bed"
	KindCrop        Kind = "crop"
	KindVariety     Kind = "variety"
	KindPlanting    Kind = "planting"
	KindHarvest     Kind = "harvest"
	KindWork        Kind = "work"
	KindCultivation Kind = "cultivation"
	KindAmendment   Kind = "amendment"
	KindWatering    Kind = "watering"
	KindMeasurement Kind = "measurement"
	KindSoilTest    Kind = "soil-test"
	KindCover       Kind = "cover"
	KindLoss        Kind = "loss"
	KindNote        Kind = "note"
	KindTreatment   Kind = "treatment"
	KindWeather     Kind = "weather"
	KindMaterial    Kind = "material"
	KindMeasure     Kind = "measure"
	KindTrial       Kind = "trial"
	KindPerson      Kind = "person"
	KindDevice      Kind = "device"
	KindSetting     Kind = "setting"
	KindPicture     Kind = "picture"
)

// Record is any record of the book.
type Record interface {
	Kind() Kind
	Identity() ID
	// Revision counts the changes since the record was added, which was revision 1; 0 is not yet kept.
	Revision() int
	// Day is the day the record belongs to, zero for things without one (a bed, a crop).
	Day() civil.Date
	// Check returns an *Error if the record cannot be kept as it stands. A fact that is only
	// unlikely passes; Doubtful asks about it.
	Check() error
	// with returns the record under another id and revision.
	with(id ID, rev int) Record
}

// WithIdentity returns the record under the id and revision.
func WithIdentity(r Record, id ID, rev int) Record { return r.with(id, rev) }
