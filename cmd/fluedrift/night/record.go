package night

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"log/slog"
	"math"
	"os"
	"path/filepath"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// Record is run.json: what a publication was made from and how it went.
// Everything but Timing is the same for the same inputs, whatever build made it.
type Record struct {
	Program   string           `json:"program"` // without its version: that stands in Timing
	Schema    int              `json:"schema"`  // table.Schema; 0 before schemas had numbers
	AsOf      string           `json:"as_of"`
	Condition string           `json:"condition"`
	Code      int              `json:"code"`
	Notes     []string         `json:"notes"`
	Config    string           `json:"config_digest"`
	Settings  string           `json:"settings_digest"` // of what of it shapes the lists
	Layouts   string           `json:"layouts_digest"`
	Previous  string           `json:"previous"`
	Counts    map[string]int64 `json:"counts"`
	Fits      []Fit            `json:"fits"`
	OfFleet   []string         `json:"fleet_notes"` // what a reader of the fits must know
	// by serial: what could not be used, of units whose line on the list says so
	Unused map[string]watch.Unused `json:"unused,omitempty"`
	// CommonCause is what makes the fleet look out of limits likelier than its burners; "": nothing.
	CommonCause string `json:"common_cause,omitempty"`
	// StillBooked are the serials booked sooner only because the list before did; see
	// watch.Config.StayDays.
	StillBooked []string             `json:"still_booked,omitempty"`
	Medians     []watch.ColumnMedian `json:"medians"`   // of the newest readings, by column
	Hindsight   *BackNoted           `json:"hindsight"` // newest look back older than the as-of day; null: none
	Inputs      []Input              `json:"inputs"`
	Lists       []publish.Written    `json:"lists"`
	Cautions    []string             `json:"cautions"`
	// Publication is the digest of all this but Timing: the warehouse that goes with
	// the lists holds it too.
	Publication string         `json:"publication"`
	Timing      map[string]any `json:"timing"`
}

// Input is one export of a publication.
type Input struct {
	Name       string `json:"name"`
	Bytes      int64  `json:"bytes"`
	Digest     string `json:"digest"`
	Layout     string `json:"layout"`
	Record     string `json:"record"`
	Source     string `json:"source"`
	Outcome    string `json:"outcome"`
	Reason     string `json:"reason"`
	Message    string `json:"message"`
	ExportDay  string `json:"export_day"`
	Lines      int64  `json:"lines"`
	Header     int64  `json:"header"`
	Blank      int64  `json:"blank"`
	Skipped    int64  `json:"skipped"`
	Records    int64  `json:"records"`  // lines that hold a record, set aside or not
	Readings   int64  `json:"readings"` // readings in them, whatever became of them
	Accepted   int64  `json:"accepted"`
	Superseded int64  `json:"superseded"`
	Duplicate  int64  `json:"duplicate"`
	Doubtful   int64  `json:"doubtful"`
	SetAside   int64  `json:"set_aside"`
	Joined     int64  `json:"joined,omitempty"` // read into other lines, by steps of the layout
	// Cells that cannot be read on lines that stand without them, those lines, and of those the ones that lost a reading.
	CellsSetAside int64 `json:"cells_set_aside,omitempty"`
	LinesSpoilt   int64 `json:"lines_with_cells_set_aside,omitempty"`
	LostReadings  int64 `json:"lines_without_a_reading,omitempty"`

	WithoutGas int64 `json:"without_gas,omitempty"` // lines of readings without CO2 and O2
	Mended     int64 `json:"mended,omitempty"`      // of those set aside: a mended line stands in their place

	worstColumn string  // of which the largest share of cells is set aside
	worstShare  float64 // that share, 0 without such a column

	Ignored  bool     `json:"ignored,omitempty"`   // named in exports.ignore
	Unread   []Unread `json:"unread,omitempty"`    // parts of it that no layout reads
	Cause    string   `json:"cause,omitempty"`     // the commonest reason for which its lines cannot be used
	ToMend   bool     `json:"to_mend,omitempty"`   // lines of other exports, to be corrected
	ShrankOK bool     `json:"shrank_ok,omitempty"` // it shrank, and guards.tolerate let it: later nights compare with what is left
}

// Unread is a part of an export that no layout reads.
type Unread struct {
	What  string `json:"what"`
	Lines int64  `json:"lines"`
	Sheet bool   `json:"sheet"` // whole lines, and not a column of lines that were read
}

// Fit is how the fit of one fire ended. Ratios is nil where they were not
// estimated; the next night starts its search from them.
type Fit struct {
	Fire         judge.Fire    `json:"fire"`
	How          string        `json:"how"`
	Ended        string        `json:"ended"`
	Ratios       *drift.Theta  `json:"ratios"`
	NoisePoints  *float64      `json:"noise_points"` // of one reading
	Coefficients []Coefficient `json:"coefficients"`
	Notes        []string      `json:"notes"`
	Trend        *float64      `json:"calibration_trend_points,omitempty"` // of biases over the calibrations, a year
}

// Coefficient is one effect, in points a unit of its covariate (and year).
type Coefficient struct {
	Name  string   `json:"name"`
	Value *float64 `json:"value"`
	SE    *float64 `json:"standard_error"`
}

// fitRecords sums up the fits of a fleet.
func fitRecords(fleet *estimate.Fleet) []Fit {
	out, ratios := []Fit{}, fleet.Ratios()
	for i := range fleet.Fits {
		f := fleet.Fits[i].Beta
		one := Fit{
			Fire: fleet.Fits[i].Fire, How: f.How.String(), Ended: words.Ended(fleet.Fits[i].BetaEnded()), NoisePoints: finite(f.Sigma),
			Notes: words.Notes(fleet.Fits[i].Notes), Trend: finite(fleet.Fits[i].Trend),
		}
		if r, ok := ratios[one.Fire]; ok {
			one.Ratios = &r
		}
		for _, c := range f.Coefficients {
			if c.Dropped == nil {
				one.Coefficients = append(one.Coefficients, Coefficient{c.Name, finite(c.Value), finite(c.SE)})
			}
		}
		out = append(out, one)
	}
	return out
}

// tellFit says, with -v, what a reader of the fits must know.
func tellFit(log *slog.Logger, fits []Fit, fleet *estimate.Fleet) {
	for _, f := range fits {
		log.Debug("fit of "+string(f.Fire)+" fire", "of_fit", f.Ended)
		for _, note := range f.Notes {
			log.Debug("fit of "+string(f.Fire)+" fire", "of_fit", note)
		}
	}
	for _, note := range words.Notes(fleet.Notes) {
		log.Debug("the fleet", "of_fit", note)
	}
}

func finite(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// warmStart lets the search for the ratios start where the publication before
// ended. It is the one with an earlier as-of day, so that a repeat of a day
// starts where the first run of it did.
func warmStart(before *Record, r estimate.Config) estimate.Config {
	if before == nil {
		return r
	}
	r.Start = map[judge.Fire]drift.Theta{}
	for _, f := range before.Fits {
		if f.Ratios != nil {
			r.Start[f.Fire] = *f.Ratios
		}
	}
	return r
}

// dueUnits counts the units in the groups above "can wait".
func dueUnits(s watch.Summary) (due int64) {
	for _, g := range s.Groups {
		if g.Group < watch.CanWait {
			due += int64(g.Units)
		}
	}
	return due
}

// sign gives the record the name of its publication, which the same lists made
// from the same inputs share.
func (r *Record) sign() error {
	unsigned := *r
	unsigned.Publication, unsigned.Timing = "", nil
	text, err := jsonText(unsigned)
	r.Publication = settings.DigestOf(text)
	return err
}

// folderDigest is the digest of a folder's layouts and of the tables they look things
// up in: names and contents.
func folderDigest(folder string) string {
	names, err := filepath.Glob(filepath.Join(folder, "*.toml"))
	if err != nil {
		return ""
	}
	tables, err := filepath.Glob(filepath.Join(folder, "*.csv"))
	if err != nil {
		return ""
	}
	sum := sha256.New()
	for _, name := range append(names, tables...) {
		text, err := os.ReadFile(name)
		if err != nil {
			return ""
		}
		fmt.Fprintf(sum, "%s %s\n", filepath.Base(name), settings.DigestOf(text))
	}
	return hex.EncodeToString(sum.Sum(nil))
}
