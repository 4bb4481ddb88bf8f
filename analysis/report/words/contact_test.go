package words

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"fluedrift/model/judge"
)

// A register that carries whom to call is read by the three names; what is no plain
// number is not dialled.
func TestContacts(t *testing.T) {
	c := ContactOf(&judge.Unit{Carry: `{"contact_phone":" +49 (0) 555-0175 ","address":"2 Mill Row","contract":"full"}`})
	assert.Equal(t, Contact{Phone: "+49 (0) 555-0175", Address: "2 Mill Row"}, c)
	assert.Equal(t, "+4905550175", c.Dialled())
	assert.Equal(t, "+49 (0) 555-0175, 2 Mill Row", c.Line())
	for _, phone := range []string{"", "office", "555-0175 ask for Jo", "1+2 34", "12"} {
		assert.Empty(t, Contact{Phone: phone}.Dialled(), phone)
	}
	assert.Equal(t, Contact{}, ContactOf(&judge.Unit{Carry: `not json`}))
	assert.Equal(t, Contact{}, ContactOf(&judge.Unit{Carry: `{"contact_name":3}`}))
}
