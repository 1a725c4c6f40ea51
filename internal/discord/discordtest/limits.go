package discordtest

// The platform's documented limits. Lengths are in characters (code points).
// Origin: the platform's public documentation of August 2026 (pages named per
// group) and its OpenAPI document of July 2026; "practice" marks what neither
// says but the platform is known to do.
const (
	// resources/message
	maxContent         = 2000
	maxEmbeds          = 10
	maxEmbedCharacters = 6000 // all embeds of a message together
	maxEmbedTitle      = 256
	maxEmbedText       = 4096
	maxEmbedFields     = 25
	maxFieldName       = 256
	maxFieldValue      = 1024
	maxFooter          = 2048
	maxAuthor          = 256
	maxURL             = 2048
	maxColour          = 0xFFFFFF
	maxNonce           = 25
	maxStickers        = 3
	maxMentionIDs      = 100

	// components/reference
	maxRows          = 5
	maxButtonsInRow  = 5
	maxCustomID      = 100
	maxButtonLabel   = 80
	maxButtonURL     = 512
	maxSelectOptions = 25
	maxSelectText    = 100 // label, value and description of an option
	maxPlaceholder   = 150

	// resources/message, reference: uploads
	maxFiles       = 10
	maxDescription = 1024 // alt text
	maxFileBytes   = 10 << 20
	maxBodyBytes   = 25 << 20

	// interactions/receiving-and-responding, components/reference: modals
	maxModalTitle       = 45
	maxModalComponents  = 5
	maxLabel            = 45
	maxLabelDescription = 100
	maxTextInput        = 4000
	maxInputPlaceholder = 100

	// interactions/application-commands
	maxCommandName           = 32
	maxCommandText           = 100 // description
	maxOptions               = 25
	maxChoices               = 25
	maxChoiceText            = 100 // choice name, string value
	maxOptionLength          = 6000
	maxCommandSize           = 8000
	maxChatCommands          = 100
	maxContextCommands       = 15
	maxDailyCreates          = 200
	maxWhole           int64 = 1<<53 - 1
)

// Message flags (resources/message).
const (
	flagSuppressEmbeds = 1 << 2
	flagEphemeral      = 1 << 6
	flagLoading        = 1 << 7
	flagSilent         = 1 << 12
	flagVoice          = 1 << 13
)

// Intents (events/gateway).
const (
	intentGuilds         = 1 << 0
	intentGuildMembers   = 1 << 1
	intentIntegrations   = 1 << 4
	intentPresences      = 1 << 8
	intentGuildMessages  = 1 << 9
	intentDirectMessages = 1 << 12
	intentMessageContent = 1 << 15
	intentPrivileged     = intentGuildMembers | intentPresences | intentMessageContent
	intentsKnown         = 1<<17 - 1 | 1<<20 | 1<<21 | 1<<24 | 1<<25
)
