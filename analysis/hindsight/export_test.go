package hindsight

// NameOfWay names a way; see names_test.go.
var NameOfWay func(Way) string
