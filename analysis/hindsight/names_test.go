package hindsight_test

import (
	"fluedrift/analysis/hindsight"
	"fluedrift/analysis/report/words"
)

// The tests of package hindsight keep their figures by the names that package words
// gives its ways; words imports hindsight.
func init() { hindsight.NameOfWay = words.Way }
