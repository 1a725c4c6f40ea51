package chart

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"math"
)

// pngHead is how many bytes of a PNG come before its second chunk: the signature and
// the header (PNG specification, 5.2 and 11.2.2).
const pngHead = 8 + 12 + 13

// printedAt returns the PNG with the number of its pixels to a metre of paper, so that it is printed
// in its size (PNG specification, 11.3.5.3, chunk pHYs).
func printedAt(picture []byte, perMetre float64) []byte {
	if len(picture) < pngHead {
		return picture
	}
	body := []byte("pHYs")
	for range 2 { // across and down
		body = binary.BigEndian.AppendUint32(body, uint32(math.Round(perMetre)))
	}
	const metre = 1 // the unit
	body = append(body, metre)
	chunk := binary.BigEndian.AppendUint32(nil, uint32(len(body)-len("pHYs")))
	chunk = binary.BigEndian.AppendUint32(append(chunk, body...), crc32.ChecksumIEEE(body))
	return bytes.Join([][]byte{picture[:pngHead], chunk, picture[pngHead:]}, nil)
}
