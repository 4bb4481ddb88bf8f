package drift

// Unconfirmed is a reading.
type Unconfirmed struct{}
