package lists

import (
	"fmt"
	"io"
	"math"

	"fluedrift/analysis/days"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
)

// geoFeature is a feature of GeoJSON (RFC 7946, section 3.2). Its geometry is
// null where a place is not known.
type geoFeature struct {
	Type       string         `json:"type"`
	Geometry   *geoGeometry   `json:"geometry"`
	Properties map[string]any `json:"properties"`
}

type geoGeometry struct {
	Type        string `json:"type"`
	Coordinates any    `json:"coordinates"`
}

// WriteDaysGeoJSON writes a plan's stops as points and its days as lines, from
// the crew's home through the stops and back: GeoJSON by RFC 7946, longitude
// before latitude, six decimals at most (section 11.2).
func WriteDaysGeoJSON(w io.Writer, p *days.Plan) error {
	all := struct {
		Type     string       `json:"type"`
		Features []geoFeature `json:"features"`
	}{Type: "FeatureCollection", Features: []geoFeature{}}
	for i := range p.Days {
		d := &p.Days[i]
		line := [][2]float64{}
		add := func(at days.Place) {
			if !NoPlace(at) {
				line = append(line, position(at))
			}
		}
		add(d.Home)
		for k := range d.Stops {
			add(d.Stops[k].Place)
			all.Features = append(all.Features, stopFeature(d, k))
		}
		add(d.Home)
		if len(line) > 1 { // a line has two positions or more, section 3.1.4
			all.Features = append(all.Features, geoFeature{"Feature", &geoGeometry{"LineString", line}, map[string]any{
				"what": "day", "day": table.DayCell(d.Day).String(), "crew": d.Crew, "stops": len(d.Stops), "drive_minutes": math.Round(d.DriveMinutes),
				"start": words.Clock(d.Start), "back": words.Clock(d.Back),
			}})
		}
	}
	text, err := table.EncodeJSON(all, "")
	if err == nil {
		_, err = w.Write(text)
	}
	if err != nil {
		return fmt.Errorf("write days as GeoJSON: %w", err)
	}
	return nil
}

func stopFeature(d *days.CrewDay, k int) geoFeature {
	s := &d.Stops[k]
	serials := make([]string, len(s.Visits))
	for i := range s.Visits {
		serials[i] = s.Visits[i].Line.Unit.Serial
	}
	f := geoFeature{Type: "Feature", Properties: map[string]any{
		"what": "stop", "day": table.DayCell(d.Day).String(), "crew": d.Crew, "stop": k + 1, "site": s.Site, "area": s.Area, "serials": serials,
		"arrive": words.Clock(s.Arrive), "leave": words.Clock(s.Leave),
		"gain_days": math.Round(10*s.GainDays) / 10, "cost_minutes": math.Round(s.CostMinutes), "coordinates_from": words.StandIn(s),
	}}
	if !NoPlace(s.Place) {
		f.Geometry = &geoGeometry{"Point", position(s.Place)}
	}
	return f
}

// position is longitude and latitude, to about a tenth of a metre.
func position(p days.Place) [2]float64 {
	return [2]float64{math.Round(p.LongitudeDeg*1e6) / 1e6, math.Round(p.LatitudeDeg*1e6) / 1e6}
}
