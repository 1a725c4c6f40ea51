# check: what has to be green before a commit.   golden: rewrite expected answers, then read the diff.
# bench: the figures the README and the issues quote.   run: the local room.
# calibrate: some minutes; writes docs/calibration.md.   fuzz: every target for FUZZTIME.
# forgeries: ten thousand forged interactions and messages, a minute or two.

FUZZTIME ?= 30s

.PHONY: check golden bench run fuzz forgeries calibrate

check:
	@test -z "$$(gofmt -l .)" || { gofmt -l .; exit 1; }
	go vet ./...
	go test -race ./...

golden:
	-go test ./internal/commands -update
	-go test ./internal/discord -run TestWhatMembersSee -update
	-go test . -run TestReadme -update
	git diff --stat

bench:
	go test -run '^$$' -bench . -benchmem ./...

run:
	go run ./cmd/bot

fuzz:
	.ci/fuzz $(FUZZTIME)

forgeries:
	.ci/steps/forgeries

calibrate:
	go test ./internal/calc -run '^TestCalibration$$' -calibrate -timeout 60m
