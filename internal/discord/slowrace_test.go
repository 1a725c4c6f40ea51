//go:build race

package discord

// slowness with the race detector on.
const slowness = 4
