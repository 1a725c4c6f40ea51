package discord

import (
	"bytes"
	"encoding/json"
	"strconv"
)

// node is a piece of JSON read without trust: what is missing, or of another
// kind than expected, reads as empty. Discord adds kinds of things that no
// program knows yet, and clients send what they like.
type node struct{ value any }

func parse(raw []byte) node {
	d := json.NewDecoder(bytes.NewReader(raw))
	d.UseNumber()
	var n node
	if d.Decode(&n.value) != nil {
		return node{}
	}
	return n
}

// at is a member of an object.
func (n node) at(key string) node {
	object, _ := n.value.(map[string]any)
	return node{object[key]}
}

// items are the parts of a list.
func (n node) items() []node {
	list, _ := n.value.([]any)
	nodes := make([]node, len(list))
	for i, value := range list {
		nodes[i] = node{value}
	}
	return nodes
}

// members are the parts of an object, by key.
func (n node) members() map[string]node {
	object, _ := n.value.(map[string]any)
	nodes := make(map[string]node, len(object))
	for key, value := range object {
		nodes[key] = node{value}
	}
	return nodes
}

func (n node) there() bool { return n.value != nil }

// text is a text, or a number or a yes or no as one would type it.
func (n node) text() string {
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

// whole is a whole number, which Discord sometimes writes as a text; 0 for none.
func (n node) whole() int64 {
	v, err := strconv.ParseInt(n.text(), 10, 64)
	if err != nil {
		return 0
	}
	return v
}

func (n node) yes() bool {
	v, _ := n.value.(bool)
	return v
}

// texts are all texts in what Discord sent.
func (n node) texts() (texts []string) {
	switch v := n.value.(type) {
	case string:
		return []string{v}
	case []any:
		for _, one := range v {
			texts = append(texts, node{one}.texts()...)
		}
	case map[string]any:
		for _, one := range v {
			texts = append(texts, node{one}.texts()...)
		}
	}
	return texts
}
