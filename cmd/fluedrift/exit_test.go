package main

import (
	"context"

	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/settings"
)

// The exit codes by name: those of the conditions.
const (
	exitDone        = int(settings.Done)
	exitOther       = int(settings.Failed)
	exitUsage       = int(settings.Usage)
	exitLook        = int(settings.Look)
	exitNoInput     = int(settings.NoInput)
	exitRefused     = int(settings.Refused)
	exitLocked      = int(settings.Locked)
	exitNoWarehouse = int(settings.NoWarehouse)
	exitInterrupted = int(settings.Interrupted)
)

// codeOf gives the exit code of an error; 0 for none.
func codeOf(err error) int { return int(settings.ConditionOf(err)) }

// atEnd is the exit code of an error of a command whose context may have ended.
func atEnd(ctx context.Context, err error) int { return int(night.ConditionAt(ctx, err)) }
