package layout

import "fluedrift/ingest/parse"

// checkJoin checks the columns of a key and those that are taken.
func checkJoin(s *Step) error {
	for _, names := range [][]string{s.By, s.TableBy, s.Take} {
		for i := range names {
			if names[i] = parse.Trim(names[i]); names[i] == "" {
				return s.fault("a column needs the header it has in the file")
			}
		}
	}
	if s.TableBy != nil && len(s.TableBy) != len(s.By) {
		return s.fault("table_by names the columns of by as the table calls them: one for each")
	}
	return nil
}

// Keys are the columns of a key in the table that a step joins.
func (s *Step) Keys() []string {
	if s.TableBy != nil {
		return s.TableBy
	}
	return s.By
}

// taken are the columns that a step takes from a table.
func taken(s *Step) (names []string) {
	for _, name := range s.Take {
		names = append(names, s.Prefix+name)
	}
	return names
}
