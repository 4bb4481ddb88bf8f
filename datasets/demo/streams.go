package demo

import (
	"math"
	"math/rand/v2"
)

// Kinds of random streams. Each thing the fleet draws has a stream of its own,
// keyed by what it belongs to, so that a bigger fleet, or one more fault,
// leaves everything else as it was.
const (
	kindSite uint64 = iota + 1
	kindUnit
	kindSlope
	kindWander
	kindVisits
	kindWeather
	kindTechnician
	kindAnalyzer
	kindBench
	kindJump
	kindCOFault
	kindRecord
	kindDamage
	kindDouble
	kindCorrection
	kindCopy
	kindTyping
	kindTypingLast
	kindLetterCase
	kindStraySerial
	kindLabel
	kindSetting
	kindVentLength
	kindVentError
	kindAnswer
	kindRegister
	kindLine
	kindFile
	kindMinutes
	kindShape
	kindFarMissing
	kindContractor
	kindAirMissing
)

// mix hashes a sequence of numbers (the finalizer of splitmix64, applied in turn).
func mix(xs ...uint64) uint64 {
	h := uint64(0x9e3779b97f4a7c15)
	for _, x := range xs {
		h ^= x
		h += 0x9e3779b97f4a7c15
		h = (h ^ h>>30) * 0xbf58476d1ce4e5b9
		h = (h ^ h>>27) * 0x94d049bb133111eb
		h ^= h >> 31
	}
	return h
}

// stream returns the random numbers that belong to one thing.
func (g *ground) stream(kind uint64, keys ...uint64) *rand.Rand {
	h := mix(append([]uint64{g.Options.Seed, kind}, keys...)...)
	return rand.New(rand.NewPCG(h, mix(h, kind)))
}

// draw returns one number from 0 to below 1 that belongs to one thing.
func (g *ground) draw(kind uint64, keys ...uint64) float64 {
	var buffer [6]uint64
	k := append(buffer[:0], g.Options.Seed, kind)
	return float64(mix(append(k, keys...)...)>>11) / (1 << 53)
}

// normal returns one standard normal number that belongs to one thing.
func (g *ground) normal(kind uint64, keys ...uint64) float64 {
	var buffer [8]uint64
	k := append(buffer[:0], keys...)
	u := 1 - g.draw(kind, append(k, 1)...)
	v := g.draw(kind, append(k, 2)...)
	return math.Sqrt(-2*math.Log(u)) * math.Cos(2*math.Pi*v)
}

// pick returns one of several things with the given weights, by a number from
// 0 to below 1.
func pick[T any](r float64, things []T, weights []float64) T {
	total := 0.0
	for _, w := range weights {
		total += w
	}
	r *= total
	for i, w := range weights {
		if r < w {
			return things[i]
		}
		r -= w
	}
	return things[len(things)-1]
}

// round rounds to a number of decimals.
func round(x float64, decimals int) float64 {
	p := math.Pow10(decimals)
	return math.Round(x*p) / p
}
