package api

import (
	"bytes"
	"encoding/json"
	"strconv"
)

// Node is a piece of JSON read without trust: what is missing, or of another
// kind than expected, reads as empty. Discord adds kinds of things that no
// program knows yet, and clients send what they like.
type Node struct{ value any }

// Read reads a piece of JSON; what is none reads as empty.
func Read(raw []byte) Node {
	d := json.NewDecoder(bytes.NewReader(raw))
	d.UseNumber()
	var n Node
	if d.Decode(&n.value) != nil {
		return Node{}
	}
	return n
}

// At is a member of an object.
func (n Node) At(key string) Node {
	object, _ := n.value.(map[string]any)
	return Node{object[key]}
}

// Items are the parts of a list.
func (n Node) Items() []Node {
	list, _ := n.value.([]any)
	nodes := make([]Node, len(list))
	for i, value := range list {
		nodes[i] = Node{value}
	}
	return nodes
}

// There reports whether it was sent at all.
func (n Node) There() bool { return n.value != nil }

// Text is a text, or a number or a yes or no as one would type it.
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

// Whole is a whole number, which Discord sometimes writes as a text; 0 for none.
func (n Node) Whole() int64 {
	v, err := strconv.ParseInt(n.Text(), 10, 64)
	if err != nil {
		return 0
	}
	return v
}

// Yes reports whether it is a yes.
func (n Node) Yes() bool {
	v, _ := n.value.(bool)
	return v
}

// Texts are all texts in what Discord sent.
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
