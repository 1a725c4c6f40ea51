package discord

import (
	"encoding/json"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/commands"
	"holdbench/internal/discord/discordtest"
)

// The documented form of a name (interactions/application-commands, naming).
var documentedName = regexp.MustCompile(`^[-_'\p{L}\p{N}\p{Devanagari}\p{Thai}]{1,32}$`)

func TestEveryDeclarationIsWithinTheLimits(t *testing.T) {
	all := declarations()
	seen := map[string]bool{}
	for _, d := range all {
		key := string(rune(d.Type)) + d.Name
		if seen[key] {
			t.Errorf("%s is declared twice", d.Name)
		}
		seen[key] = true
		if d.Type == discordgo.MessageApplicationCommand {
			if n := length(d.Name); n < 1 || n > 32 || d.Description != "" || len(d.Options) > 0 {
				t.Errorf("message command %q", d.Name)
			}
			continue
		}
		if !documentedName.MatchString(d.Name) || strings.ToLower(d.Name) != d.Name {
			t.Errorf("name %q", d.Name)
		}
		checkTexts(t, d)
	}
	if len(all) != len(commands.Menu())+1 || len(all) > 100 {
		t.Errorf("%d declarations", len(all))
	}
}

// checkTexts: description, options, choices, and all of it together.
func checkTexts(t *testing.T, d *discordgo.ApplicationCommand) {
	t.Helper()
	if n := length(d.Description); n < 1 || n > 100 {
		t.Errorf("%s: description of %d", d.Name, n)
	}
	if size := length(d.Name) + length(d.Description) + checkOptions(t, d.Name, d.Options); size > 8000 {
		t.Errorf("%s has %d characters in all", d.Name, size)
	}
}

// checkOptions is how many characters the options have, those of sub-commands too.
func checkOptions(t *testing.T, of string, options []*discordgo.ApplicationCommandOption) (size int) {
	t.Helper()
	if len(options) > 25 {
		t.Errorf("%s: %d options", of, len(options))
	}
	names, optional := map[string]bool{}, false
	for _, o := range options {
		size += length(o.Name) + length(o.Description) + checkOptions(t, of+" "+o.Name, o.Options)
		if !documentedName.MatchString(o.Name) || strings.ToLower(o.Name) != o.Name || names[o.Name] {
			t.Errorf("%s: option %q", of, o.Name)
		}
		names[o.Name] = true
		if n := length(o.Description); n < 1 || n > 100 || strings.HasSuffix(o.Description, "…") {
			t.Errorf("%s %s: description %q", of, o.Name, o.Description)
		}
		if o.Required && optional {
			t.Errorf("%s: %s is required and comes after one that is not", of, o.Name)
		}
		optional = optional || !o.Required
		if len(o.Choices) > 25 || len(o.Choices) > 0 && o.Autocomplete {
			t.Errorf("%s %s: %d choices, autocomplete %t", of, o.Name, len(o.Choices), o.Autocomplete)
		}
		for _, c := range o.Choices {
			size += length(c.Name) + length(c.Value.(string))
			if n := length(c.Name); n < 1 || n > 100 {
				t.Errorf("%s %s: choice %q", of, o.Name, c.Name)
			}
		}
		if o.MaxLength > 6000 || o.MinValue != nil && *o.MinValue > o.MaxValue {
			t.Errorf("%s %s: %+v", of, o.Name, o)
		}
	}
	return size
}

func TestDeclarationsSayWhatTheCommandsSay(t *testing.T) {
	declared := map[string]*discordgo.ApplicationCommand{}
	for _, d := range declarations() {
		declared[d.Name] = d
	}
	for _, cmd := range commands.All() {
		path := strings.Fields(cmd.Name)
		d := declared[path[0]]
		if d == nil {
			t.Errorf("%s: not declared", cmd.Name)
			continue
		}
		summary, options := d.Description, d.Options
		for _, name := range path[1:] {
			at := slices.IndexFunc(options, func(o *discordgo.ApplicationCommandOption) bool { return o.Name == name })
			if at < 0 {
				t.Fatalf("%s: not declared", cmd.Name)
			}
			summary, options = options[at].Description, options[at].Options
		}
		if summary != cmd.Summary {
			t.Errorf("%s: %q", cmd.Name, summary)
		}
		if trainers := d.DefaultMemberPermissions != nil; trainers != commands.ForTrainers(cmd) || trainers &&
			*d.DefaultMemberPermissions != permManageServer {
			t.Errorf("%s: permissions %v", cmd.Name, d.DefaultMemberPermissions)
		}
		if contexts := *d.Contexts; contexts[0] != discordgo.InteractionContextGuild ||
			len(contexts) == 2 == commands.ForTrainers(cmd) {
			t.Errorf("%s: contexts %v", cmd.Name, contexts)
		}
		if kinds := *d.IntegrationTypes; len(kinds) != 1 || kinds[0] != discordgo.ApplicationIntegrationGuildInstall {
			t.Errorf("%s: installs %v", cmd.Name, kinds)
		}
		free := 0
		if cmd.Free {
			free = 1
		}
		listed := slices.DeleteFunc(slices.Clone(cmd.Options), func(o commands.Option) bool { return o.Unlisted })
		if len(options) != len(listed)+free {
			t.Errorf("%s: %d options, declared %d", cmd.Name, len(options), len(listed))
		}
		for _, o := range listed {
			checkOption(t, cmd, options, o)
		}
	}
}

func checkOption(t *testing.T, cmd *commands.Command, options []*discordgo.ApplicationCommandOption,
	o commands.Option) {
	t.Helper()
	for _, got := range options {
		if got.Name != o.Name {
			continue
		}
		if got.Autocomplete != (o.Suggest != nil) || got.Required != (o.Required && cmd.Form == nil) ||
			len(got.Choices) != len(o.Choices) {
			t.Errorf("%s %s: %+v", cmd.Name, o.Name, got)
		}
		if o.Kind == commands.Number && (got.Type != discordgo.ApplicationCommandOptionNumber ||
			*got.MinValue != o.Min || got.MaxValue != o.Max) {
			t.Errorf("%s %s: %+v", cmd.Name, o.Name, got)
		}
		return
	}
	t.Errorf("%s: no option %s", cmd.Name, o.Name)
}

func TestCommandsAreRegisteredByOneOverwriteAndOnlyWhenTheyDiffer(t *testing.T) {
	s := play(t, discordtest.Options{IdentifySpacing: discordtest.Off})
	overwrites := func() int { return len(s.srv.Requests("PUT", "/applications/*/commands")) }
	until(t, "the overwrite is on record", func() bool { return overwrites() == 1 })
	if n := len(s.srv.Requests("POST", "/applications/*/commands")); n != 0 {
		t.Fatalf("%d registered one by one", n)
	}
	// Another start finds them as they are.
	s.again(t)
	until(t, "the second start has looked", func() bool {
		return len(s.srv.Requests("GET",
			"/applications/*/commands")) == 2
	})
	time.Sleep(200 * time.Millisecond)
	if overwrites() != 1 {
		t.Errorf("registered again though nothing differs: %d\n%s", overwrites(), s.log)
	}
}

// again ends the bot and starts another on the same store.
func (s *scene) again(t testing.TB) {
	t.Helper()
	if err := s.leave(); err != nil {
		t.Fatal(err)
	}
	s.make(t, Settings{})
	s.start(t)
	s.srv.Ready()
}

func TestADifferenceIsSeenWhereverItIs(t *testing.T) {
	if names := differing(asGivenBack(t, declarations()), declarations()); len(names) > 0 {
		t.Fatalf("differs from itself: %v", names)
	}
	changes := map[string]func(*discordgo.ApplicationCommand){
		"description": func(d *discordgo.ApplicationCommand) { d.Description += "." },
		"option":      func(d *discordgo.ApplicationCommand) { d.Options[0].Description += "." },
		"required":    func(d *discordgo.ApplicationCommand) { d.Options[0].Required = true },
		"hints":       func(d *discordgo.ApplicationCommand) { d.Options[0].Autocomplete = false },
		"least":       func(d *discordgo.ApplicationCommand) { v := 5.0; d.Options[0].MinValue = &v },
		"longest":     func(d *discordgo.ApplicationCommand) { d.Options[0].MaxLength = 7 },
		"fewer":       func(d *discordgo.ApplicationCommand) { d.Options = d.Options[1:] },
		"contexts":    func(d *discordgo.ApplicationCommand) { d.Contexts = nil },
		"permissions": func(d *discordgo.ApplicationCommand) { v := int64(8); d.DefaultMemberPermissions = &v },
		"name":        func(d *discordgo.ApplicationCommand) { d.Name = "old" },
	}
	for scene, change := range changes {
		have := asGivenBack(t, declarations())
		change(have[0])
		if names := differing(have, declarations()); len(names) == 0 ||
			!strings.Contains(strings.Join(names, " "), "/hold") {
			t.Errorf("%s: %v", scene, names)
		}
	}
	if names := differing(asGivenBack(t, declarations())[1:], declarations()); len(names) != 1 {
		t.Errorf("one missing: %v", names)
	}
}

// asGivenBack is a declaration as the platform gives it back: with numbers and
// defaults of its own.
func asGivenBack(t *testing.T, all []*discordgo.ApplicationCommand) []*discordgo.ApplicationCommand {
	t.Helper()
	data, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	var back []*discordgo.ApplicationCommand
	if err := json.Unmarshal(data, &back); err != nil {
		t.Fatal(err)
	}
	no := false
	for i, d := range back {
		d.ID, d.Version, d.ApplicationID, d.NSFW = string(rune('1'+i)), "7", "5", &no
	}
	return back
}
