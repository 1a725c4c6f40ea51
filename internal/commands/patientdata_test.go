package commands

import (
	"bufio"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"holdbench/internal/patientdata"
)

// invented is text that looks like somebody's data, of each kind. Nobody has it.
var invented = []string{"born 12 March 1975", "ring 07700 900123", "jane@example.org", "MRN 448812",
	"seen 12/03/1980"}

func TestWhateverTakesTextRefusesPatientData(t *testing.T) {
	env := demoEnv(t)
	asked := 0
	for _, cmd := range All() {
		var fields []string
		for _, o := range cmd.Options {
			if o.Kind == Text && len(o.Choices) == 0 {
				fields = append(fields, o.Name)
			}
		}
		if cmd.Free {
			fields = append(fields, "")
		}
		for _, field := range fields {
			for _, text := range invented {
				req := Request{Command: cmd.Name, Asker: askingTrainer, Values: requiredOf(cmd)}
				if field == "" {
					req.Text = text
				} else {
					req = req.with(field, text)
				}
				card := Answer(t.Context(), env, req)
				if !card.Refused || !strings.Contains(card.Title, "no patient data belongs here") ||
					strings.Contains(card.Title, text) {
					t.Errorf("/%s %s: %q\n%s", cmd.Name, field, text, card.Text())
				}
				asked++
			}
		}
		if cmd.Form == nil {
			continue
		}
		for _, f := range cmd.Form.Fields {
			for _, text := range invented {
				card := Answer(t.Context(), env, Request{Command: cmd.Name, Asker: askingTrainer,
					Filled: map[string]string{f.Name: text}})
				if !card.Refused || !strings.Contains(card.Title, "no patient data belongs here") {
					t.Errorf("form of /%s, %s: %q\n%s", cmd.Name, f.Name, text, card.Text())
				}
				asked++
			}
		}
	}
	if asked < 150 {
		t.Errorf("only %d were asked", asked)
	}
}

// requiredOf are values for what a command cannot do without.
func requiredOf(cmd *Command) map[string]string {
	values := map[string]string{}
	for _, o := range cmd.Options {
		switch {
		case !o.Required:
		case len(o.Choices) > 0:
			values[o.Name] = o.Choices[0]
		case o.Kind == Number || o.Kind == Whole:
			values[o.Name] = trimNumber(o.Min)
		default:
			values[o.Name] = "Orrick Mid"
		}
	}
	return values
}

func TestTextOfTheTradeIsNotTakenForPatientData(t *testing.T) {
	for _, text := range tradeTexts(t) {
		if looks := patientdata.Look(mention.ReplaceAllString(text, " ")); looks.Verdict == patientdata.Refused {
			t.Errorf("%q is taken for %s", text, looks.Kind)
		}
	}
}

// tradeTexts are the questions that practitioners may ask, and every cell of the
// demo community's log.
func tradeTexts(t *testing.T) (texts []string) {
	t.Helper()
	questions, err := os.Open(filepath.Join("question", "testdata", "questions.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	defer questions.Close()
	for lines := bufio.NewScanner(questions); lines.Scan(); {
		var q map[string]any
		if err := json.Unmarshal(lines.Bytes(), &q); err != nil {
			t.Fatal(err)
		}
		if q["expect"] == "refuse" {
			continue // no words of the trade; some are meant to look like numbers of people
		}
		for _, v := range q {
			if text, is := v.(string); is {
				texts = append(texts, text)
			}
		}
	}
	asked := len(texts)
	paths, err := filepath.Glob(filepath.Join("..", "..", "config", "demo", "*.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range paths {
		file, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(file).ReadAll()
		file.Close()
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range rows {
			texts = append(texts, row...)
		}
	}
	if asked < 50 || len(texts) < asked+1000 {
		t.Fatalf("only %d questions and %d texts", asked, len(texts))
	}
	return texts
}

func TestAShownNameThatLooksLikeDataIsNotStored(t *testing.T) {
	env := demoEnv(t)
	for _, name := range invented {
		m, err := Belonging("123456789012345678", name, false).member(t.Context(), env)
		if err != nil || m.Name != "unnamed member" {
			t.Errorf("%q: %+v, %v", name, m, err)
		}
	}
	if m, err := Belonging("123456789012345678", "Ada Nurse 2", false).member(t.Context(), env); err != nil ||
		m.Name != "Ada Nurse 2" {
		t.Errorf("%+v, %v", m, err)
	}
}
