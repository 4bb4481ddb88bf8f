// Package drift models how a unit's CO2 moves between services.
package drift
