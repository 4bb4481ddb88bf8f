package draft

import (
	"maps"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
	"fluedrift/model/judge"
)

// fieldRule guesses a field from the words of a header: all of one of the
// alternatives have to be among them. The rule with the most words wins. The words
// are those of the trade; common practice, no source.
type fieldRule struct {
	field string
	any   []string // alternatives, words separated by blanks
}

// serialWords are headers of the ids of boilers as exports say them, asset among them.
var serialWords = []string{"serial", "sn", "unit", "boiler", "appliance", "asset", "tag", "no"}

var fieldRules = map[string][]fieldRule{
	layout.Readings: {
		{"co2", []string{"co2", "carbon dioxide"}},
		{"o2", []string{"o2", "oxygen"}},
		{"co", []string{"co", "carbon monoxide"}},
		{"outdoor_temp", []string{"outdoor", "outside"}},
		{"flue_temp", []string{"flue", "stack", "exhaust"}},
		{"air_temp_at", []string{"air at", "air from", "air where"}},
		{"air_temp", []string{"air", "intake temp", "room temp", "room", "ambient"}},
		{"minutes_firing", []string{"fired min", "minutes", "min firing"}},
		{"supply_pressure", []string{"supply", "inlet pressure", "gas inlet", "inlet wp", "working pressure"}},
		{"manifold_pressure", []string{"manifold", "burner pressure"}},
		{"fan_speed", []string{"fan", "rpm"}},
		{"flame_signal", []string{"flame", "ionisation", "ionization"}},
		{"draft", []string{"draft", "draught"}},
		{"adjusted", []string{"setting changed", "reset", "adjusted", "adj", "adjustment"}},
		{"parts", []string{"parts", "replaced"}},
		{"not_reached", []string{"not reached"}},
		{"analyzer", []string{"analyzer", "analyser", "meter", "instrument"}},
		{"technician", []string{"technician", "tech", "engineer", "operator", "fitter", "mechanic", "by"}},
		{"reason", []string{"reason", "why", "purpose", "visit type"}},
		{"visit_id", []string{"visit", "call", "report", "test", "record id"}},
		{"time", []string{"time"}},
		{"day", []string{"date", "day", "done", "on"}},
		{"rate", []string{"rate percent", "load percent", "rate"}},
		{"fire", []string{"fire", "firing", "load", "stage"}},
		{"condition", []string{"condition", "cond", "state", "taken", "found left"}},
		{"serial", serialWords},
		{"site", []string{"site", "building", "premises"}},
	},
	layout.Units: {
		{"intake_diameter", []string{"intake diameter", "intake dia", "air diameter"}},
		{"intake_length", []string{"intake length", "air length", "intake run"}},
		{"intake_elbows_90", []string{"intake 90", "intake elbows"}},
		{"intake_elbows_45", []string{"intake elbows 45", "intake 45"}},
		{"elbows_90", []string{"90", "90s", "elbows", "bends"}},
		{"elbows_45", []string{"elbows 45", "45 elbows", "45", "45s"}},
		{"vent_diameter", []string{"diameter", "dia", "vent size", "flue size", "vent mm", "flue mm", "vent in", "flue in"}},
		{"vent_length", []string{"length", "vent run", "flue run", "flue length"}},
		{"vent_rise", []string{"rise"}},
		{"vent_from", []string{"vent from", "vent since"}},
		{"common_vent", []string{"common"}},
		{"air_from", []string{"air from", "combustion air"}},
		{"terminal", []string{"terminal"}},
		{"material", []string{"material", "mat l", "matl", "vent mat", "flue mat"}},
		{"installed", []string{"installed", "install", "commissioned"}},
		{"removed", []string{
			"removed", "deleted", "scrapped", "demolished", "decommissioned", "dismantled", "disposed", "retired", "taken out", "out service",
			"service until",
		}},
		{"state_from", []string{"state from", "status from", "state since"}},
		{"state", []string{"state", "status", "in use", "lifecycle"}},
		{"fuel_from", []string{"fuel from", "fuel since"}},
		{"fuel", []string{"fuel", "gas"}},
		{"control", []string{"control"}},
		{"firing", []string{"firing"}},
		{"input", []string{"input", "rating", "rated", "capacity", "power", "load", "firing rate"}},
		{"altitude", []string{"altitude", "elevation"}},
		{"latitude", []string{"latitude", "lat"}},
		{"longitude", []string{"longitude", "lon", "lng", "long"}},
		{"plant", []string{"plant"}},
		{"model_line", []string{"model line", "model", "line", "type"}},
		{"area", []string{"area", "region", "office", "branch", "district", "depot", "zone"}},
		{"site", []string{"site", "building", "place", "location", "premises", "house", "property"}},
		{"serial", serialWords},
	},
	layout.Analyzers: {
		{"calibrated", []string{"calibrated", "calibration", "date", "on", "performed", "tested", "checked"}},
		{"found_error", []string{"error", "deviation", "offset", "read high", "reads high"}},
		{"span_co2", []string{"span co2", "bottle co2", "gas co2", "nominal co2", "reference co2"}},
		{"found_co2", []string{"found co2", "reading co2", "read co2", "measured co2"}},
		{"adjusted", []string{"adjusted", "adj"}},
		{"analyzer", []string{"analyzer", "analyser", "meter", "instrument", "id", "no"}},
	},
	layout.ModelLines: {
		{"target_co2", []string{"target co2"}},
		{"target_o2", []string{"target o2"}},
		{"set_rich", []string{"set rich"}},
		{"set_lean", []string{"set lean"}},
		{"act_rich", []string{"act rich", "action rich", "visit rich"}},
		{"act_lean", []string{"act lean", "action lean", "visit lean"}},
		{"longest_run", []string{"longest run", "longest"}},
		{"fan_pressure", []string{"fan"}},
		{"factory_run", []string{"factory run"}},
		{"factory_gas", []string{"factory gas"}},
		{"factory_altitude", []string{"factory altitude"}},
		{"valid_from", []string{"valid from", "valid", "from"}},
		{"fuel", []string{"fuel", "gas"}},
		{"fire", []string{"fire", "firing"}},
		{"model_line", []string{"model line", "line", "model"}},
	},
	layout.Plants: {
		{"common", []string{"common", "shared"}},
		{"plant", []string{"plant"}},
		{"site", []string{"site", "building"}},
		{"serial", []string{"serial", "unit", "boiler"}},
	},
	layout.Answers: {
		{"until", []string{"until"}},
		{"day", []string{"day", "date", "answered", "on"}},
		{"answer", []string{"answer"}},
		{"serial", []string{"serial", "unit", "boiler"}},
	},
}

// carryWords are headers of a register whose cells pages show as they are.
var carryWords = []fieldRule{
	{"contact_phone", []string{"phone", "telephone", "mobile"}},
	{"contact_name", []string{"contact", "caretaker"}},
	{"address", []string{"address", "street"}},
	{"town", []string{"town", "city"}},
	{"contract_until", []string{"contract end", "contract ends", "contract until", "contract expires", "contract expiry"}},
	{"contract", []string{"contract"}},
	{"contact_email", []string{"mail", "email"}},
	{"postcode", []string{"postcode", "zip", "plz"}},
}

func init() {
	for record, rules := range rulesAbroad {
		fieldRules[record] = append(fieldRules[record], rules...)
	}
	fieldRules[layout.Visits] = rulesOfCalls()
	carryWords = append(carryWords, carryAbroad...)
	maps.Copy(fireWords, firesAbroad)
	maps.Copy(conditionWords, conditionsAbroad)
	maps.Copy(codeWords["fire"], textsOf(firesAbroad))
	maps.Copy(codeWords["condition"], textsOf(conditionsAbroad))
	for field, words := range codesAbroad {
		maps.Copy(codeWords[field], words)
	}
}

// carryWord is the name under which a column of a register travels, "" for none.
func carryWord(header string) string { return firstRule(carryWords, words(header)) }

// gasWords name the gases in a header: the first is the one that is measured, a
// second its reference.
var gasWords = map[string]string{"co2": "co2", "o2": "o2", "oxygen": "o2", "co": "co"}

// roomWords say that a gas was read in the room and not in the flue; common practice, no
// source.
var roomWords = []string{"room", "ambient", "indoor", "plantroom", "boilerhouse", "raum", "raumluft", "umgebung", "ambiant", "ambiente"}

// guessField is the field whose rule fits a header, "" if none does.
func guessField(record, header string) string {
	have := words(header)
	if record == layout.Readings {
		if ratioOfGases(header) {
			return ""
		}
		if slices.ContainsFunc(have, func(w string) bool { return slices.Contains(roomWords, w) }) &&
			slices.ContainsFunc(have, func(w string) bool { return gasWords[w] != "" }) {
			return "" // what somebody breathes, not what a burner makes
		}
		for _, w := range have {
			if gas := gasWords[w]; gas != "" {
				return gas
			}
		}
	}
	return firstRule(fieldRules[record], have)
}

// firstRule is the rule of which the most words are there, the first where several
// have as many.
func firstRule(rules []fieldRule, have []string) (field string) {
	most := 0
	for _, r := range rules {
		for _, alt := range r.any {
			if want := strings.Fields(alt); len(want) > most && hasAll(have, want) {
				field, most = r.field, len(want)
			}
		}
	}
	return field
}

func hasAll(have, want []string) bool {
	for _, w := range want {
		if !slices.Contains(have, w) {
			return false
		}
	}
	return true
}

// Words by which the wide form names fire and condition in a header, and by
// which code columns are commonly filled. Common practice, no source.
var (
	fireWords = map[string]judge.Fire{
		"high": judge.High, "hi": judge.High, "h": judge.High, "hf": judge.High, "full": judge.High, "max": judge.High,
		"maximum": judge.High,
		"low":     judge.Low, "lo": judge.Low, "l": judge.Low, "lf": judge.Low, "min": judge.Low, "minimum": judge.Low,
		"middle": judge.Middle, "mid": judge.Middle, "medium": judge.Middle, "mittellast": judge.Middle,
		"single": judge.Single, "one": judge.Single, "only": judge.Single,
	}
	conditionWords = map[string]judge.Condition{
		"found": judge.AsFound, "before": judge.AsFound, "af": judge.AsFound, "arrival": judge.AsFound,
		"initial": judge.AsFound, "pre": judge.AsFound, "final": judge.AsLeft, "post": judge.AsLeft,
		"left": judge.AsLeft, "after": judge.AsLeft, "al": judge.AsLeft, "between": judge.Between,
	}
	codeWords = map[string]map[string]string{
		"fire": textsOf(fireWords), "condition": textsOf(conditionWords),
		"adjusted": {"y": "yes", "n": "no", "1": "yes", "0": "no", "true": "yes", "false": "no", "x": "yes"},
		"reason": textsOf(map[string]judge.Reason{
			"annual": judge.Annual, "yearly": judge.Annual, "service": judge.Annual, "ann": judge.Annual, "svc": judge.Annual,
			"start": judge.StartUp, "stup": judge.StartUp, "startup": judge.StartUp, "commissioning": judge.StartUp,
			"com": judge.StartUp, "factory": judge.FactoryTest,
			"seasonal": judge.SeasonalStart, "call": judge.CallOut, "callout": judge.CallOut, "breakdown": judge.CallOut, "brk": judge.CallOut,
			"repair": judge.AfterRepair, "vent": judge.VentAltered, "conversion": judge.FuelConversion,
			"follow": judge.FollowUp, "followup": judge.FollowUp, "other": judge.OtherReason,
		}),
		"fuel": {
			"ng": "natural gas", "nat": "natural gas", "natural": "natural gas", "lpg": "propane", "lp": "propane", "propane": "propane",
			"butane": "butane",
		},
		"control": textsOf(map[string]judge.Control{
			"ratio": judge.ControlRatio, "linkage": judge.ControlLinkage, "trim": judge.ControlOxygenTrim,
			"fixed": judge.ControlFixedAir, "natural": judge.ControlNaturalDraft, "multi": judge.ControlMultiPoint,
		}),
		"firing": {"on": "on-off", "staged": "staged", "stage": "staged", "modulating": "modulating", "mod": "modulating"},
		"state": textsOf(map[string]judge.State{
			"service": judge.InService, "active": judge.InService, "running": judge.InService, "operational": judge.InService,
			"operating": judge.InService, "live": judge.InService, "standby": judge.Standby, "season": judge.OffForTheSeason,
			"isolated": judge.Isolated, "off": judge.Isolated, "removed": judge.Removed, "scrapped": judge.Removed,
			"decommissioned": judge.Removed, "retired": judge.Removed, "disposed": judge.Removed,
		}),
		"air_from": {"own": "own run", "separate": "own run", "same": "same run", "concentric": "same run", "room": "room"},
	}
)

// guessCode is the word of ours that an export's word may stand for.
func guessCode(f layout.Field, word string) string {
	parts := codeParts(word)
	if slices.Contains(f.Words, parse.Fold(word)) {
		return parse.Fold(word)
	}
	if slices.ContainsFunc(parts, func(w string) bool { return slices.Contains(denials, w) }) {
		return ""
	}
	for _, w := range parts {
		if ours := codeWords[f.Name][w]; ours != "" && slices.Contains(f.Words, ours) {
			return ours
		}
	}
	return ""
}

// unitWords are the units of measure that a header may name, the longer first.
var unitWords = []struct{ text, unit string }{
	{"°f", "degF"},
	{"degf", "degF"},
	{"deg f", "degF"},
	{"(f)", "degF"},
	{"°c", "degC"},
	{"degc", "degC"},
	{"deg c", "degC"},
	{"(c)", "degC"},
	{"in w.c.", "in w.c."},
	{"in wc", "in w.c."},
	{"inwc", "in w.c."},
	{"mbar", "mbar"},
	{"hpa", "hPa"},
	{"kpa", "kPa"},
	{"psi", "psi"},
	{"pa", "Pa"},
	{"mbh", "MBH"},
	{"1000 btu/h", "MBH"},
	{"btu/h", "Btu/h"},
	{"mg/kwh", "mg/kWh"},
	{"kw", "kW"},
	{"mw", "MW"},
	{"ppm", "ppm"},
	{"mg/m3", "mg/m3"},
	{"%", "%"},
	{"pct", "%"},
	{"percent", "%"},
	{"mm", "mm"},
	{"cm", "cm"},
	{"ft", "ft"},
	{"feet", "ft"},
	{"inch", "in"},
	{"in", "in"},
	{"m", "m"},
	{"rpm", "rpm"},
	{"hz", "Hz"},
	{"ua", "uA"},
	{"µa", "uA"},
	{"f", "degF"},
	{"c", "degC"},
	{"k", "K"},
}

// textsOf gives the words of a code as they stand in files.
func textsOf[W ~string](by map[string]W) map[string]string {
	texts := make(map[string]string, len(by))
	for word, w := range by {
		texts[word] = string(w)
	}
	return texts
}
