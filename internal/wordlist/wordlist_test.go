package wordlist

import (
	"maps"
	"testing"
)

func TestANameWithoutAListIsNoticed(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a list that is in no file was taken for an empty one")
		}
	}()
	Read("red\n    rose\n", " ").Of("blue")
}

func TestLists(t *testing.T) {
	got := Read("# a remark\n\nred\n    rose, ruby\n    brick\n\n# another\nblue\n  sky\r\n", "|")
	if want := (Lists{"red": "rose, ruby|brick", "blue": "sky"}); !maps.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	for name, line := range Lines("red\n    rose\n    ruby") {
		if name != "red" || line != "rose" {
			t.Errorf("%s: %s, want the first line alone", name, line)
		}
		break
	}
}
