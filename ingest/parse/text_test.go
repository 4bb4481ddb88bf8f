package parse

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestID(t *testing.T) {
	for text, want := range map[string]string{
		"004417": "004417", "4417": "4417", "10E5": "10E5", "24-01-02": "24-01-02", " BX-01\u00a0": "BX-01", "1e5": "1e5",
		"2024-01-02": "2024-01-02", "KB-000E+1": "KB-000E+1", "A B": "A B", "": "", "=1+1": "=1+1", "1.5": "1.5", "#": "#", "#7": "#7",
		"1/2/2024": "1/2/2024", "A 7:05": "A 7:05",
	} {
		got, f := ID(text)
		if assert.Nil(t, f, text) {
			assert.Equal(t, want, got)
		}
	}
	for text, reason := range map[string]string{
		"4.42E+03": DamagedID, "7.0013E+11": DamagedID, "7,0013E+11": DamagedID, "7E+11": DamagedID, "4.42e3": DamagedID, "-4.42E+03": DamagedID,
		"2024-01-02 00:00:00": DamagedID, "1/2/2024 0:00": DamagedID, "02.01.2024 00:00:00": DamagedID, "13/1/2024 7:05 PM": DamagedID,
		"####": DamagedID, "2024-01-02T00:00:00": DamagedID,
		"BX\x0001": ControlChar, "BX\n01": ControlChar, "BX\x7f": ControlChar, "#N/A": FormulaError, "#REF!": FormulaError,
	} {
		_, f := ID(text)
		if assert.NotNil(t, f, text) {
			assert.Equal(t, reason, f.Reason, text)
		}
	}
}

func TestText(t *testing.T) {
	for _, text := range []string{"=1+1", "@SUM(1;1)", "+T-03,\"x\"", "two\nlines", "Éstaval"} {
		got, f := Text(text)
		assert.Nil(t, f, text)
		assert.Equal(t, text, got, "free text is stored unchanged")
	}
	_, f := Text("N07\a")
	if assert.NotNil(t, f) {
		assert.Equal(t, ControlChar, f.Reason)
	}
}

func TestCode(t *testing.T) {
	words := map[string]string{"as-found": "as found", "high": "high"}
	for text, want := range map[string]string{"as-found": "as found", "As-Found": "as found", "HIGH ": "high", "\u00a0high": "high"} {
		got, f := Code(text, words)
		if assert.Nil(t, f, text) {
			assert.Equal(t, want, got)
		}
	}
	for text, reason := range map[string]string{
		"as found": UnknownCode, "hi": UnknownCode, "": UnknownCode, "high!": UnknownCode, "#N/A": FormulaError, "hi\x01": ControlChar,
	} {
		_, f := Code(text, words)
		if assert.NotNil(t, f, text) {
			assert.Equal(t, reason, f.Reason, text)
		}
	}
}

func TestTrim(t *testing.T) {
	for text, want := range map[string]string{
		"": "", " ": "", "a": "a", " a b\t": "a b", "\u00a0a\u202f": "a", "é": "é", "\u2007a": "\u2007a",
		"\ufeffa \ufeff": "a", "a\ufeffb": "a\ufeffb",
	} {
		assert.Equal(t, want, Trim(text), "%q", text)
	}
}

// FuzzID: no panic; what passes holds no control character and passes again
// unchanged.
func FuzzID(f *testing.F) {
	for _, s := range []string{"004417", "10E5", "7.0013E+11", "2024-01-02 00:00", "a\x00b", "\u00a0"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		id, fault := ID(s)
		if fault != nil {
			return
		}
		again, fault := ID(id)
		if fault != nil || again != id {
			t.Fatalf("%q passed as %q and came back as %q, %v", s, id, again, fault)
		}
		_, _ = Text(s)
		_, _ = Code(s, map[string]string{"a": "b"})
	})
}
