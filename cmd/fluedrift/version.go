package main

import (
	"context"
	"fmt"
	"runtime/debug"
	"sync"

	"fluedrift/analysis/report/table"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/queries"
)

// stamped is the version a packager gives the program:
// go build -ldflags "-X main.stamped=1.2.3" ./cmd/fluedrift
var stamped string

// version names the build: what a packager stamped, else the newest release of
// the change log with the commit it was built from. It stands where a person asks
// which program it was, and never in a list: two builds of one program make the
// same lists.
var version = sync.OnceValue(func() string {
	if stamped != "" {
		return stamped
	}
	info, _ := debug.ReadBuildInfo()
	return versionOf(settings.Releases[0].Version, info)
})

// versionOf adds the commit to a release, as SemVer 2.0.0 section 10 writes build
// metadata; nothing where the build was not stamped with one, as in tests.
func versionOf(release string, info *debug.BuildInfo) string {
	var commit, modified string
	if info != nil {
		for _, s := range info.Settings {
			switch s.Key {
			case "vcs.revision":
				commit = "+" + s.Value[:min(len(s.Value), 12)]
			case "vcs.modified":
				if s.Value == "true" {
					modified = ".modified"
				}
			}
		}
	}
	if commit == "" {
		return release
	}
	return release + commit + modified
}

var versionCommand = command{
	"version", "", "the version of the program, and the schemas it writes",
	func(_ context.Context, c *call) error {
		_, err := fmt.Fprintf(c.out, "fluedrift %s\npublications of schema %d, warehouse of schema %s\n", version(), table.Schema,
			queries.Schema())
		return err
	},
}
