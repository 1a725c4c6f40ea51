//go:build !race

package discord

// slowness is how much longer things may take than on a machine of one's own.
const slowness = 3
