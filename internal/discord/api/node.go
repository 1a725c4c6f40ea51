package api

import (
	"bytes"
	"encoding/json"
	"strconv"
)

// Node is a JSON value from outside. A value that is missing, or of another type than expected, reads as empty: Discord
// adds types that the program does not know yet, and clients send what they like.
type Node struct{ value any }

// Read parses JSON. What cannot be parsed reads as empty.
func Read(raw []byte) Node {
	d := json.NewDecoder(bytes.NewReader(raw))
	d.UseNumber()
	var n Node
	if d.Decode(&n.value) != nil {
		return Node{}
	}
	return n
}

// At returns a member of an object.
func (n Node) At(key string) Node {
	object, _ := n.value.(map[string]any)
	return Node{object[key]}
}

// Items returns the elements of an array.
func (n Node) Items() []Node {
	list, _ := n.value.([]any)
	nodes := make([]Node, len(list))
	for i, value := range list {
		nodes[i] = Node{value}
	}
	return nodes
}

// There reports whether there is a value.
func (n Node) There() bool { return n.value != nil }

// Text returns a string, or a number or a boolean as a member would type it.
func (n Node) Text() string {
	switch v := n.value.(type) {
	case string:
		return v
	case json.Number:
		return v.String()
	case bool:
		if v {
			return "yes"
		}
		return "no"
	}
	return ""
}

// Whole returns a whole number, which Discord sometimes sends as a string; 0 for none.
func (n Node) Whole() int64 {
	v, err := strconv.ParseInt(n.Text(), 10, 64)
	if err != nil {
		return 0
	}
	return v
}

// Yes reports whether the value is true.
func (n Node) Yes() bool {
	v, _ := n.value.(bool)
	return v
}

// Texts returns every string in the value.
func (n Node) Texts() (texts []string) {
	switch v := n.value.(type) {
	case string:
		return []string{v}
	case []any:
		for _, one := range v {
			texts = append(texts, Node{one}.Texts()...)
		}
	case map[string]any:
		for _, one := range v {
			texts = append(texts, Node{one}.Texts()...)
		}
	}
	return texts
}
