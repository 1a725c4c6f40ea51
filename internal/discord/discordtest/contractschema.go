package discordtest

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// The document's own conventions (README of discord-api-spec): the API takes
// strings of digits for whole numbers; anyOf and oneOf both mean that the data
// is in one of the formats, and anyOf stands where several could fit, so both
// are taken as they stand. Where document and documentation differ, the
// documentation is right: the id of a new attachment may be a number.

// schema compiles the schema of one body; kept by key.
func (c *Contract) schema(key string, schema any) (*jsonschema.Schema, error) {
	if known := c.compiled[key]; known != nil {
		return known, nil
	}
	compiler := jsonschema.NewCompiler()
	compiler.AssertFormat()
	for _, f := range c.formats {
		compiler.RegisterFormat(f)
	}
	const address = "body.json"
	root := object{
		"$schema": "https://json-schema.org/draft/2020-12/schema",
		"allOf":   []any{schema}, "components": c.components,
	}
	if err := compiler.AddResource(address, root); err != nil {
		return nil, err
	}
	compiled, err := compiler.Compile(address)
	if err != nil {
		return nil, err
	}
	c.compiled[key] = compiled
	return compiled, nil
}

// relaxAll rewrites the schemas of bodies so that strings of digits pass for whole
// numbers within the same bounds.
func (c *Contract) relaxAll(paths object) {
	for _, item := range paths {
		operations, _ := item.(object)
		for _, one := range operations {
			operation, _ := one.(object)
			c.relax(operation["requestBody"], false)
		}
	}
	schemas, _ := c.components["schemas"].(object)
	c.relax(schemas, false)
	attachment, _ := schemas["MessageAttachmentRequest"].(object)
	if properties, there := attachment["properties"].(object); there {
		properties["id"] = object{"anyOf": []any{properties["id"], object{"type": "integer", "minimum": 0}}}
	}
}

// relax walks JSON in place. Exact means that the schema stands in a union
// that has a string format beside it, where digits in a string are a string.
func (c *Contract) relax(v any, exact bool) {
	switch v := v.(type) {
	case []any:
		for _, one := range v {
			c.relax(one, exact)
		}
	case object:
		for key, value := range v {
			union := (key == "oneOf" || key == "anyOf") && hasText(value)
			c.relax(value, union)
		}
		if takesWhole(v) && !exact {
			c.widen(v)
		}
	}
}

// hasText tells whether a union has a string among its formats.
func hasText(union any) bool {
	all, _ := union.([]any)
	return slices.ContainsFunc(all, func(one any) bool {
		s, _ := one.(object)
		return s["type"] == "string"
	})
}

func takesWhole(schema object) bool {
	if schema["type"] == "integer" {
		return true
	}
	kinds, _ := schema["type"].([]any)
	return slices.Contains(kinds, any("integer")) && !slices.Contains(kinds, any("string"))
}

// widen turns a schema for whole numbers into "that, or a string of digits".
func (c *Contract) widen(schema object) {
	number := object{}
	for key, value := range schema {
		number[key] = value
		delete(schema, key)
	}
	text := object{"type": "string", "pattern": `^-?[0-9]+$`}
	if allowed, there := number["enum"].([]any); there {
		var names []any
		for _, one := range allowed {
			names = append(names, fmt.Sprint(one))
		}
		text["enum"] = names
	}
	text["format"] = c.rangeFormat(number)
	schema["anyOf"] = []any{number, text}
}

// rangeFormat is a format for strings of digits within the bounds of a schema.
func (c *Contract) rangeFormat(number object) string {
	low, high := bound(number, "minimum", math.Inf(-1)), bound(number, "maximum", math.Inf(1))
	name := fmt.Sprintf("digits %g %g", low, high)
	if slices.ContainsFunc(c.formats, func(f *jsonschema.Format) bool { return f.Name == name }) {
		return name
	}
	c.formats = append(c.formats, &jsonschema.Format{Name: name, Validate: func(v any) error {
		text, isText := v.(string)
		if !isText {
			return nil
		}
		x, err := strconv.ParseFloat(text, 64)
		if err != nil || x < low || x > high {
			return fmt.Errorf("%q is not from %g to %g", text, low, high)
		}
		return nil
	}})
	return name
}

func bound(schema object, key string, standard float64) float64 {
	x, there := decimal(schema[key])
	if !there {
		return standard
	}
	return x
}

// numberFormats are the document's formats for numbers and ids; uri and
// date-time the library knows.
func numberFormats() []*jsonschema.Format {
	return []*jsonschema.Format{
		{Name: "int32", Validate: func(v any) error { return wholeWithin(v, 32) }},
		{Name: "int64", Validate: func(v any) error { return wholeWithin(v, 64) }},
		{Name: "snowflake", Validate: func(v any) error {
			if text, isText := v.(string); isText && !snowflake(text) {
				return fmt.Errorf("%q is no id", text)
			}
			return nil
		}},
	}
}

// wholeWithin checks that a number is whole and fits that many bits; 1.0 is whole.
func wholeWithin(v any, bits int) error {
	if _, isText := v.(string); isText {
		return nil
	}
	x, isNumber := decimal(v)
	if isNumber && (x != math.Trunc(x) || math.Abs(x) > math.Ldexp(1, bits-1)) {
		return fmt.Errorf("%v is no whole number of %d bits", v, bits)
	}
	return nil
}
