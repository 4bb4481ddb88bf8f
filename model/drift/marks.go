package drift

// Words lists the caveats in words, one each.
func (m Mark) Words() []string {
	var words []string
	for i, w := range markWords {
		if m&(1<<i) != 0 {
			words = append(words, w)
		}
	}
	return words
}
