package discordtest

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// ContractVariable names the environment variable with the path of the
// platform's published OpenAPI document.
const ContractVariable = "DISCORD_OPENAPI"

// contractFile is where the document is in this project's tree.
const contractFile = "internal/discord/discordtest/testdata/discord-openapi.json"

// ErrNoContract means that the OpenAPI document is not on this machine.
var ErrNoContract = errors.New("the platform's OpenAPI document is not here: set " + ContractVariable + " to its path")

// Contract is the platform's published description of its API (OpenAPI 3.1,
// whose schemas are JSON Schema 2020-12), to hold recorded requests against.
type Contract struct {
	paths      []contractPath
	components object
	formats    []*jsonschema.Format
	compiled   map[string]*jsonschema.Schema
}

type contractPath struct {
	template string
	parts    []string
	item     object
}

// FindContract returns the path of the document: what DISCORD_OPENAPI says, or
// the one in this project's tree. ErrNoContract if neither.
func FindContract() (string, error) {
	if path := os.Getenv(ContractVariable); path != "" {
		if _, err := os.Stat(path); err != nil {
			return "", fmt.Errorf("%w (%s is %s: %w)", ErrNoContract, ContractVariable, path, err)
		}
		return path, nil
	}
	dir, err := os.Getwd()
	if err != nil {
		return "", err
	}
	for {
		path := filepath.Join(dir, contractFile)
		if _, err := os.Stat(path); err == nil {
			return path, nil
		}
		if filepath.Dir(dir) == dir {
			return "", ErrNoContract
		}
		dir = filepath.Dir(dir)
	}
}

// LoadContract reads the document at path.
func LoadContract(path string) (*Contract, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer func() { _ = file.Close() }() // only read
	doc, err := jsonschema.UnmarshalJSON(file)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	root, _ := doc.(object)
	paths, _ := root["paths"].(object)
	components, _ := root["components"].(object)
	if len(paths) == 0 || components == nil {
		return nil, fmt.Errorf("%s is no OpenAPI document", path)
	}
	c := &Contract{components: components, compiled: map[string]*jsonschema.Schema{}, formats: numberFormats()}
	c.relaxAll(paths)
	for template, item := range paths {
		one, _ := item.(object)
		c.paths = append(c.paths, contractPath{template, strings.Split(template, "/"), one})
	}
	return c, nil
}

// Check holds one request against the contract: path, query and body.
func (c *Contract) Check(r Request) error {
	path := c.find(r.Path)
	if path == nil {
		return errors.New("no such path")
	}
	operation, there := path.item[strings.ToLower(r.Method)].(object)
	if !there {
		return fmt.Errorf("%s has no %s", path.template, r.Method)
	}
	if err := c.checkParameters(path, operation, r); err != nil {
		return err
	}
	return c.checkBody(path, operation, r)
}

// find returns the path of the contract that fits; literal segments win.
func (c *Contract) find(path string) *contractPath {
	got := strings.Split(path, "/")
	var best *contractPath
	fewest := 0
	for i := range c.paths {
		found, fits := bind(c.paths[i].parts, got)
		if fits && (best == nil || len(found) < fewest) {
			best, fewest = &c.paths[i], len(found)
		}
	}
	return best
}

var (
	idForm    = regexp.MustCompile(`^(0|[1-9][0-9]*)$`)
	wholeForm = regexp.MustCompile(`^-?[0-9]+$`)
	truthForm = regexp.MustCompile(`^(?i:true|false|1|0)$`)
)

// checkParameters checks ids in the path, and that the query has only
// documented names with values of their type.
func (c *Contract) checkParameters(path *contractPath, operation object, r Request) error {
	ids, _ := bind(path.parts, strings.Split(r.Path, "/"))
	query, err := url.ParseQuery(r.Query)
	if err != nil {
		return err
	}
	for _, from := range []object{path.item, operation} {
		parameters, _ := from["parameters"].([]any)
		for _, one := range parameters {
			p, _ := one.(object)
			name, _ := p["name"].(string)
			form := c.valueForm(p["schema"])
			values := query[name]
			if p["in"] == "path" {
				values = []string{ids[name]}
			}
			delete(query, name)
			for _, value := range values {
				if form != nil && !form.MatchString(value) {
					return fmt.Errorf("parameter %s: %q is not of its type", name, value)
				}
			}
		}
	}
	for name := range query {
		return fmt.Errorf("parameter %s is not documented", name)
	}
	return nil
}

// valueForm is the form of a parameter's text, nil if any will do.
func (c *Contract) valueForm(schema any) *regexp.Regexp {
	s, _ := schema.(object)
	if s["$ref"] == "#/components/schemas/SnowflakeType" {
		return idForm
	}
	switch text, _ := json.Marshal(s["type"]); {
	case strings.Contains(string(text), `"boolean"`):
		return truthForm
	case strings.Contains(string(text), `"integer"`):
		return wholeForm
	}
	return nil
}

// checkBody validates the body against the schema of its Content-Type.
func (c *Contract) checkBody(path *contractPath, operation object, r Request) error {
	described, _ := operation["requestBody"].(object)
	kind, _, _ := strings.Cut(r.Header["Content-Type"], ";")
	switch {
	case described == nil && (r.Body != nil || len(r.Files) > 0):
		return errors.New("a body where none is documented")
	case described == nil:
		return nil
	case r.Body == nil && len(r.Files) == 0 && described["required"] != true:
		return nil
	case r.Body == nil && len(r.Files) == 0:
		return errors.New("a body is required")
	}
	content, _ := described["content"].(object)
	media, there := content[kind].(object)
	if !there {
		return fmt.Errorf("Content-Type %q is not documented", kind)
	}
	schema, err := c.schema(path.template+" "+r.Method+" "+kind, media["schema"])
	if err != nil {
		return err
	}
	body, err := jsonschema.UnmarshalJSON(strings.NewReader(string(orEmpty(r.Body))))
	if err != nil {
		return err
	}
	if parts, isObject := body.(object); isObject {
		for _, f := range r.Files {
			parts[f.Field] = "" // the bytes are of no concern to the schema
		}
	}
	return schema.Validate(body)
}

func orEmpty(raw json.RawMessage) json.RawMessage {
	if raw == nil {
		return json.RawMessage("{}")
	}
	return raw
}
