package discordtest_test

import (
	"os"
	"testing"

	"holdbench/internal/discord/discordtest"
)

func TestMain(m *testing.M) { os.Exit(discordtest.Main(m)) }
