package database

import "testing"

func TestTablesComeBeforeThoseThatPointAtThem(t *testing.T) {
	s := openStore(t)
	tables := must(inOrder(must(s.Tables(t.Context()))(t)))(t)
	at := map[string]int{}
	for i, shape := range tables {
		at[shape.Name] = i
	}
	pointers := 0
	for _, shape := range tables {
		for _, other := range shape.PointsAt {
			pointers++
			if at[other] > at[shape.Name] {
				t.Errorf("%s comes before %s", shape.Name, other)
			}
		}
	}
	if pointers < 30 {
		t.Errorf("only %d pointers were seen", pointers)
	}
	if _, err := inOrder([]Table{{Name: "a", PointsAt: []string{"b"}},
		{Name: "b", PointsAt: []string{"a"}}}); err == nil {
		t.Error("a circle was put in order")
	}
}
