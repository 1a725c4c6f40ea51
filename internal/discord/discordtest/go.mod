module holdbench/internal/discord/discordtest

go 1.26.0

require (
	github.com/bwmarrin/discordgo v0.29.0
	github.com/gorilla/websocket v1.4.2
	github.com/santhosh-tekuri/jsonschema/v6 v6.0.3
)

require (
	golang.org/x/crypto v0.59.0 // indirect
	golang.org/x/sys v0.50.0 // indirect
	golang.org/x/text v0.44.0 // indirect
)
