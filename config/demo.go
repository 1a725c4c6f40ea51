package config

import (
	"embed"
	"io/fs"
)

//go:embed demo/*.csv
var demoFiles embed.FS

// DemoName is the name of the demo community. It is invented, like its members, products and tests.
const DemoName = "Saltmarsh Lane Study Circle"

// Demo returns the log of the demo community: products.csv, instruments.csv,
// members.csv, stock.csv and tests.csv. Nothing in it is a real product, person
// or place.
func Demo() fs.FS {
	files, err := fs.Sub(demoFiles, "demo")
	if err != nil {
		return demoFiles // cannot happen: the folder is fixed at build time
	}
	return files
}
