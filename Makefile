# check         what has to pass before a commit
# golden        rewrites expected answers; read the diff afterwards
# run           the local room
# build         the program, the same to the last byte wherever it is built
# nightly       what takes too long for each commit: more kills, races, fuzzing, a restore from an encrypted backup
# postgres      the tests that use the log, with the log in PostgreSQL
# fuzz          every fuzz target for FUZZTIME
# forgeries     ten thousand forged interactions and messages; a minute or two
# bench         the figures of docs/measured.md
# benchengines  a log in a file and in PostgreSQL, side by side
# scale         memory and start with a million tests; some minutes
# million       an import of a million tests; ten minutes
# calibrate     writes docs/calibration.md; some minutes
# pictures      the pictures of docs/commands.md, from the demo
# notices       THIRD-PARTY-NOTICES.txt, from the modules that the program is built from

FUZZTIME ?= 30s

.PHONY: build check golden bench benchengines postgres scale million run fuzz forgeries calibrate pictures nightly notices

# Only the tree and the compilers go into the program: nothing of the environment, or of the folder's name.
build:
	GOFLAGS= CGO_ENABLED=1 CGO_CPPFLAGS= CGO_CFLAGS='-O2 -g0' CGO_CXXFLAGS= CGO_FFLAGS= CGO_LDFLAGS= \
		go build -trimpath -buildvcs=auto -ldflags='-s -w -buildid=' -o bot ./cmd/bot

check:
	@test -z "$$(gofmt -l .)" || { gofmt -l .; exit 1; }
	go vet ./... && cd internal/discord/discordtest && go vet ./...
	go test -race ./... && .ci/steps/standin

golden:
	-go test ./internal/commands -update
	-go test ./internal/discord ./cmd/bot -run TestWhatMembersSee -update
	-go test . -run TestDocs -update
	git diff --stat

bench:
	go test -run '^$$' -bench . -benchmem ./...
	@if ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 || command -v initdb >/dev/null; then $(MAKE) benchengines; fi

postgres:
	.ci/steps/postgres

benchengines:
	DURABLE=1 .ci/postgres go test -run '^$$' -bench '^BenchmarkStore' -timeout 60m ./internal/knowledge

scale:
	go test ./internal/durability -run '^(TestScale|TestALargeCommunityIsRead)$$' -scale -count=1 -v -timeout 30m

million:
	go test ./internal/durability -run '^TestALongFileIsImported$$' -rows 1000000 -count=1 -v -timeout 60m

run:
	go run ./cmd/bot

fuzz:
	.ci/fuzz $(FUZZTIME)

forgeries:
	.ci/steps/forgeries

pictures:
	-go test . -run '^TestPicturesOfTheDocs$$' -update
	git status --short docs/pictures

nightly:
	.ci/nightly

notices:
	.ci/notices > THIRD-PARTY-NOTICES.txt

calibrate:
	go test ./internal/calc -run '^TestCalibration$$' -calibrate -timeout 60m
