package web

import (
	"net/http"

	"fairplot/internal/diary"
	"fairplot/internal/garden"
)

// settingsPage shows the book's settings as a form.
type settingsPage struct {
	Page
	Saved  bool
	Error  string
	Fields []settingField
}

type settingField struct {
	Name, Label, Hint, Value string
	Choices                  []choice
	Long                     bool
}

// settingFields are the settings in the order of the page.
var settingFields = []settingField{
	{Name: garden.SettingUnits, Label: "Units", Choices: []choice{{Value: "metric", Says: "kg, m, litres"}, {Value: "us", Says: "lb, ft, gallons"}}},
	{Name: garden.SettingDates, Label: "How 03/04 is meant", Choices: []choice{{Value: "day-first", Says: "3 April"}, {Value: "month-first", Says: "4 March"}}},
	{Name: garden.SettingMatters, Label: "The smallest difference worth acting on", Hint: "such as 25 %"},
	{Name: garden.SettingConfidence, Label: "How sure intervals are to be", Hint: "such as 95 %"},
	{Name: garden.SettingYearStart, Label: "First day of the growing year", Hint: "month and day, such as 01-01, or 07-01 in the south"},
	{Name: garden.SettingCurrency, Label: "Currency", Hint: "its three letters, such as EUR"},
	{Name: garden.SettingWalk, Label: "The order you walk in", Hint: "beds, or gardens for all their beds, with commas between, such as kitchen/3, kitchen/1, orchard; what is not named follows by name", Long: true},
}

func (s *Server) settings(w http.ResponseWriter, r *http.Request) error {
	return s.showSettings(w, r, http.StatusOK, "", nil)
}

func (s *Server) showSettings(w http.ResponseWriter, r *http.Request, status int, wrong string, was map[string]string) error {
	p := settingsPage{Page: s.page("Settings", ""), Saved: r.URL.Query().Has("saved"), Error: wrong}
	p.Amiss = wrong != ""
	err := s.look(r.Context(), func(l *live) error {
		set := settingsOf(l.index)
		for _, f := range settingFields {
			f.Value = diary.SettingOf(set, f.Name)
			if typed, ok := was[f.Name]; ok {
				f.Value = typed
			}
			p.Fields = append(p.Fields, f)
		}
		return nil
	})
	if err != nil {
		return err
	}
	return s.render(w, r, status, "settings", p)
}

func (s *Server) setSettings(w http.ResponseWriter, r *http.Request) error {
	if err := readForm(r); err != nil {
		return err
	}
	said := s.fieldsOf(r.PostForm)
	for _, f := range settingFields {
		value, given := said[f.Name]
		if !given && !(f.Name == garden.SettingWalk && r.PostForm.Has(f.Name)) { // the walk alone can be taken away again
			continue
		}
		if err := s.set(r, f.Name, value); refusedKind(err) {
			return s.showSettings(w, r, http.StatusUnprocessableEntity, f.Label+": "+err.Error(), said)
		} else if err != nil {
			return err
		}
	}
	http.Redirect(w, r, "/settings?saved", http.StatusSeeOther)
	return nil
}

// set changes a setting where it says something else, or adds it.
func (s *Server) set(r *http.Request, name, value string) error {
	d := diary.Draft{Action: diary.Add, Kind: garden.KindSetting, Fields: map[string]string{"name": name, "value": value}}
	same := false
	err := s.look(r.Context(), func(l *live) error {
		for _, id := range l.index.Named(garden.KindSetting, name) {
			v, _ := garden.Find(l.index, garden.Ref[garden.Setting](id))
			same = v.Value == value
			d.Action, d.Target = diary.Change, id.String()
			d.Fields = map[string]string{"value": value}
		}
		return nil
	})
	if err != nil || same || value == "" && d.Action == diary.Add {
		return err
	}
	return s.decide(r.Context(), d)
}
