package words

import "fluedrift/analysis/watch"

// FixMessages fills in what each record is to be corrected for, where a reason says it.
func FixMessages(fixes []watch.Fix) {
	for i := range fixes {
		if f := &fixes[i]; f.Because != nil {
			f.Message = Reason(f.Because)
		}
	}
}
