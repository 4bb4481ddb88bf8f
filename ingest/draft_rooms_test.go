package ingest

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A gas that was read in the room is none of the flue gas, wherever its column stands.
func TestDraftOfGasesInRooms(t *testing.T) {
	text := someRows("Boiler,Date,Fire,Condition,CO2 room ppm,Ambient CO ppm,CO ppm,CO2 %", 12, func(i int) string {
		return fmt.Sprintf("K-%03d,2024-03-%02d,high,as found,%d,%d,%d,9.%d", i, i+1, 420+i, i%3, 20+i, i%7)
	})
	_, fields := takenFor(t, map[string]string{"x.csv": text}, "x.csv")
	assert.Equal(t, []string{"serial", "day", "fire", "condition", "-", "-", "co ppm", "co2 %"}, fields)
}

// Contacts, addresses and contracts of a register are carried, numbers of contracts too.
func TestDraftCarriesContacts(t *testing.T) {
	text := someRows("Serial,Model,Input kW,Fuel,Contact,Phone,E-Mail,Street,Town,Zip,Contract no,Contract ends", 12, func(i int) string {
		return fmt.Sprintf("K-%03d,T40,200,NG,A. Lind %d,0555 %04d,a%d@x.example,%d Mill Lane,Osprey,12345,C-%d,2026-03-01", i, i, i, i, i, 900+i)
	})
	steps, w := stepsOf(t, "units", map[string]string{"x.csv": text})
	assert.Empty(t, steps)
	assert.Equal(t, "K-003", w["record.units"][3]["serial"])
	carried := w["record.units"][3]["carry"]
	for _, part := range []string{"A. Lind 3", "0555 0003", "a3@x.example", "3 Mill Lane", "Osprey", "12345", "C-903", "2026-03-01"} {
		assert.Contains(t, carried, part)
	}
}
