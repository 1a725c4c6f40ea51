# check: what has to be green before a commit.   golden: rewrite expected answers, then read the diff.
# bench: the figures the README and the issues quote.   run: the local room.
# pictures: those of the README, from the demo.
# calibrate: some minutes; writes docs/calibration.md.   fuzz: every target for FUZZTIME.

FUZZTIME ?= 30s

.PHONY: check golden bench run fuzz calibrate pictures

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

pictures:
	-go test . -run '^TestPicturesOfTheReadme$$' -update
	git status --short docs/pictures

calibrate:
	go test ./internal/calc -run '^TestCalibration$$' -calibrate -timeout 60m
