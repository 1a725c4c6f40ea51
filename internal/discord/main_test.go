package discord

import (
	"flag"
	"fmt"
	"os"
	"testing"

	"holdbench/internal/discord/api"
	"holdbench/internal/discord/discordtest"
)

// atOnce is how many scenes are played at once: most of each is waiting.
const atOnce = "8"

// TestMain points the library at the platform's own addresses, which each
// stand-in's transport carries to it, and when all tests have run holds every
// request that they made against the platform's published description.
func TestMain(m *testing.M) {
	flag.Parse()
	if err := flag.Set("test.parallel", atOnce); err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	if err := api.Aim("https://discord.com"); err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	os.Exit(discordtest.Main(m))
}
