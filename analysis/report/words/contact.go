package words

import (
	"encoding/json"
	"strings"

	"fluedrift/model/judge"
)

// Contact is whom to call about a boiler, as its register has it.
type Contact struct{ Name, Phone, Address string }

// Names under which a register carries whom to call, and where the site is.
const (
	carriedName    = "contact_name"
	carriedPhone   = "contact_phone"
	carriedAddress = "address"
)

// ContactOf is what a unit's register carries of whom to call; empty where it carries
// none.
func ContactOf(u *judge.Unit) (c Contact) {
	has := func(name string) bool { return strings.Contains(u.Carry, name) }
	if !has(carriedName) && !has(carriedPhone) && !has(carriedAddress) {
		return c // without taking it apart: most registers carry none
	}
	var carried map[string]any
	if json.Unmarshal([]byte(u.Carry), &carried) != nil {
		return c
	}
	text := func(name string) string {
		s, _ := carried[name].(string)
		return strings.TrimSpace(s)
	}
	return Contact{text(carriedName), text(carriedPhone), text(carriedAddress)}
}

// Line is all of it in one line; "" where there is nothing.
func (c Contact) Line() string { return strings.Join(said(c.Phone, c.Name, c.Address), ", ") }

// Dialled is what a telephone dials; "" where that is not plain. A plus stands first
// alone, and whatever parts digits is left out.
func (c Contact) Dialled() string {
	var b strings.Builder
	for i, r := range c.Phone {
		switch {
		case '0' <= r && r <= '9' || r == '+' && i == 0:
			b.WriteRune(r)
		case !strings.ContainsRune(" -./()", r):
			return ""
		}
	}
	if b.Len() < 3 {
		return ""
	}
	return b.String()
}
