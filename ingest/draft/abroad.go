package draft

import (
	"fluedrift/ingest/layout"
	"fluedrift/model/judge"
)

// Words of headers in German, French, Spanish, Dutch and Italian; common practice, no
// source. Letters stand without their marks, as plainLetters leaves them.

// serialAbroad are headers of the ids of boilers.
var serialAbroad = []string{
	"anlage", "anlagen", "kessel", "chaudiere", "appareil", "unite", "n unite", "caldera", "equipo", "ketel",
	"toestelnr", "caldaia", "matricola",
}

var rulesAbroad = map[string][]fieldRule{
	layout.Readings: {
		{"o2", []string{"sauerstoff", "restsauerstoff"}},
		{"outdoor_temp", []string{"aussen", "exterieure", "exterior", "buiten", "esterna"}},
		{"flue_temp", []string{"abgas", "rauchgas", "fumees", "humos", "rookgas", "fumi"}},
		{"air_temp", []string{
			"zuluft", "raumluft", "raumtemperatur", "verbrennungsluft", "umgebung", "luft", "ambiance", "air comburant",
			"ambiente", "aire", "lucht",
			"omgeving", "aria",
		}},
		{"supply_pressure", []string{"fliessdruck", "anschlussdruck", "presion entrada", "voordruk"}},
		{"manifold_pressure", []string{"dusendruck", "brennerdruck", "branderdruk"}},
		{"draft", []string{"kaminzug", "tirage", "tiro", "schoorsteentrek"}},
		{"adjusted", []string{
			"eingestellt", "nachgestellt", "nachgeregelt", "justiert", "regle", "reglage", "regulada", "regulado",
			"ajustado", "ajustada", "afgesteld",
			"bijgesteld", "regolato", "regolata",
		}},
		{"parts", []string{"ersatzteile", "teile", "pieces", "piezas", "onderdelen", "ricambi"}},
		{"analyzer", []string{
			"messgerat", "messgeraet", "analysegerat", "analysegeraet", "gerat", "analyseur", "analizador", "analysator", "meettoestel",
			"meetapparaat", "analizzatore",
		}},
		{"technician", []string{"monteur", "techniker", "technicien", "tecnico", "operario", "installateur", "bearbeiter"}},
		{"reason", []string{"anlass", "grund", "art", "motif", "motivo", "reden", "bezoek", "soort bezoek", "tipo visita"}},
		{"visit_id", []string{"auftrag", "beleg", "protokollnr", "fiche", "intervention", "parte", "werkbon", "bonnr"}},
		{"time", []string{"uhrzeit", "heure", "hora", "tijd", "ora"}},
		{"day", []string{"datum", "jour", "fecha", "giorno", "data"}},
		{"fire", []string{"stufe", "brennerstufe", "laststufe", "allure", "llama", "stand", "branderstand", "fiamma"}},
		{"condition", []string{"zustand", "etat", "toestand"}},
		{"serial", serialAbroad},
	},
	layout.Units: {
		{"elbows_90", []string{"bogen", "coudes", "codos", "bochten", "gomiti", "curve"}},
		{"vent_diameter", []string{"ø", "durchmesser", "diametre", "diametro", "dn"}},
		{"vent_length", []string{"lange", "abgasweg", "longueur", "longitud", "lengte", "lunghezza"}},
		{"material", []string{"abgasrohr", "werkstoff", "materiau", "materiaal", "materiale"}},
		{"installed", []string{
			"einbau", "inbetriebnahme", "installation", "mise service", "instalacion", "puesta marcha", "geplaatst",
			"installatie", "installazione",
			"baujahr", "bouwjaar",
		}},
		{"removed", []string{
			"ausbau", "ausgebaut", "stilllegung", "stillgelegt", "demontage", "abgebaut", "geloscht", "depose", "baja", "verwijderd",
			"rimosso", "dismesso", "retirado", "supprime",
		}},
		{"state", []string{"zustand", "etat", "estado", "stato", "toestand"}},
		{"fuel", []string{"brennstoff", "gasart", "combustible", "brandstof", "combustibile"}},
		{"control", []string{"regelung", "regulation", "regulacion", "regeling"}},
		{"input", []string{
			"feuerungsleistung", "warmebelastung", "nennwarmebelastung", "belastung", "nennleistung", "leistung",
			"puissance", "potencia", "belasting",
			"vermogen", "potenza",
		}},
		{"model_line", []string{"kesseltyp", "typ", "modell", "modele", "modelo", "modello"}},
		{"area", []string{
			"gebiet", "niederlassung", "bezirk", "agence", "secteur", "zona", "sucursal", "regio", "filiaal", "filiale", "sede",
		}},
		{"site", []string{
			"objekt", "standort", "gebaude", "liegenschaft", "batiment", "emplazamiento", "edificio", "ubicacion",
			"gebouw", "locatie", "immobile",
		}},
		{"serial", serialAbroad},
	},
	layout.Analyzers: {
		{"span_co2", []string{"prufgas co2", "soll co2", "sollwert co2", "etalon co2", "patron co2", "campione co2"}},
		{"found_co2", []string{"ist co2", "istwert co2", "anzeige co2", "gelesen co2", "lu co2", "leido co2", "gemeten co2", "letto co2"}},
		{"adjusted", []string{"justiert", "eingestellt", "regle", "ajuste", "ajustado", "afgesteld", "regolato"}},
		{"calibrated", []string{
			"gepruft", "kalibriert", "kalibrierung", "datum", "etalonne", "etalonnage", "calibracion", "calibrado",
			"fecha", "gekalibreerd", "kalibratie",
			"tarato", "taratura",
		}},
		{"analyzer", []string{"gerat", "messgerat", "analysegerat", "analyseur", "analizador", "analysator", "analizzatore"}},
	},
}

var carryAbroad = []fieldRule{
	{"contact_phone", []string{"telefon", "telefono", "telefoon", "tel"}},
	{"contact_name", []string{"ansprechpartner", "kontakt", "interlocuteur", "contacto", "contactpersoon", "contatto"}},
	{"address", []string{"strasse", "adresse", "rue", "calle", "direccion", "straat", "adres", "indirizzo"}},
	{"town", []string{"ort", "ville", "ciudad", "poblacion", "plaats", "citta"}},
	{"contract", []string{"vertrag", "contrat", "contrato", "contratto"}},
}

// Words of fires and conditions, and the words that codes are commonly written with.
var (
	firesAbroad = map[string]judge.Fire{
		"volllast": judge.High, "vollast": judge.High, "grosslast": judge.High, "grosse": judge.High, "gross": judge.High, "voll": judge.High,
		"grande": judge.High, "grand": judge.High, "alta": judge.High, "alto": judge.High, "maxima": judge.High, "maximo": judge.High,
		"hoog": judge.High, "hooglast": judge.High, "vollastig": judge.High, "massima": judge.High,
		"teillast": judge.Low, "kleinlast": judge.Low, "kleine": judge.Low, "klein": judge.Low, "grundlast": judge.Low,
		"petite": judge.Low, "petit": judge.Low, "baja": judge.Low, "bajo": judge.Low, "minima": judge.Low, "minimo": judge.Low,
		"deellast": judge.Low, "laag": judge.Low, "laaglast": judge.Low, "bassa": judge.Low, "unique": judge.Single,
	}
	conditionsAbroad = map[string]judge.Condition{
		"vor": judge.AsFound, "vorher": judge.AsFound, "vorgefunden": judge.AsFound, "eingang": judge.AsFound,
		"eingangsmessung": judge.AsFound,
		"avant":           judge.AsFound, "trouve": judge.AsFound, "antes": judge.AsFound, "inicial": judge.AsFound, "encontrado": judge.AsFound,
		"aangetroffen": judge.AsFound, "vooraf": judge.AsFound, "voor": judge.AsFound, "prima": judge.AsFound,
		"nach": judge.AsLeft, "nachher": judge.AsLeft, "ausgang": judge.AsLeft, "ausgangsmessung": judge.AsLeft, "hinterlassen": judge.AsLeft,
		"eingestellt": judge.AsLeft, "apres": judge.AsLeft, "laisse": judge.AsLeft, "despues": judge.AsLeft, "dejado": judge.AsLeft,
		"achtergelaten": judge.AsLeft, "nadien": judge.AsLeft, "erna": judge.AsLeft, "dopo": judge.AsLeft,
	}
	codesAbroad = map[string]map[string]string{
		"adjusted": {"ja": "yes", "j": "yes", "oui": "yes", "o": "yes", "si": "yes", "s": "yes", "nein": "no", "nee": "no", "non": "no"},
		"reason": textsOf(map[string]judge.Reason{
			"wartung": judge.Annual, "jahreswartung": judge.Annual, "jahrlich": judge.Annual, "entretien": judge.Annual, "annuel": judge.Annual,
			"annuelle": judge.Annual, "anual": judge.Annual, "mantenimiento": judge.Annual, "onderhoud": judge.Annual, "jaarlijks": judge.Annual,
			"manutenzione": judge.Annual, "inbetriebnahme": judge.StartUp, "ibn": judge.StartUp, "mise": judge.StartUp, "puesta": judge.StartUp,
			"ingebruikname": judge.StartUp, "inbedrijfstelling": judge.StartUp, "storung": judge.CallOut, "stoerung": judge.CallOut,
			"panne": judge.CallOut, "depannage": judge.CallOut, "averia": judge.CallOut, "storing": judge.CallOut, "guasto": judge.CallOut,
			"nachmessung": judge.FollowUp, "nachkontrolle": judge.FollowUp,
		}),
		"fuel": {
			"erdgas": "natural gas", "naturel": "natural gas", "aardgas": "natural gas", "metano": "natural gas", "flussiggas": "propane",
			"fluessiggas": "propane", "propan": "propane", "propano": "propane", "propaan": "propane", "butan": "butane", "butano": "butane",
		},
		"state": textsOf(map[string]judge.State{
			"betrieb": judge.InService, "aktiv": judge.InService, "servicio": judge.InService, "bedrijf": judge.InService,
			"actief": judge.InService,
			"activa": judge.InService, "activo": judge.InService, "servizio": judge.InService, "reserve": judge.Standby,
			"reserva":      judge.Standby,
			"bereitschaft": judge.Standby, "secours": judge.Standby, "ausgebaut": judge.Removed, "demontiert": judge.Removed,
			"verwijderd": judge.Removed, "baja": judge.Removed, "depose": judge.Removed, "deposee": judge.Removed, "retirado": judge.Removed,
		}),
	}
)

// denials turn a word into its opposite: out of service, hors service, nicht in Betrieb.
var denials = []string{
	"out", "not", "never", "hors", "pas", "ausser", "nicht", "fuera", "buiten", "niet",
	"fuori", "ohne", "sin", "sans", "without",
}
