package cue

import (
	"fmt"
	"strings"

	qr "github.com/piglig/go-qr"

	"example.org/gripleaf/cmd/internal/still"
)

// Code is the QR code of a moment's place in the lesson. It withstands a quarter of its modules being lost (level Q),
// as by a camera at an angle.
func (m *Moment) Code() (*still.Code, error) {
	code, err := qr.EncodeText(m.Address, qr.Quartile)
	if err != nil {
		return nil, fmt.Errorf("the address %s as a QR code: %w", m.Address, err)
	}
	_, plain, found := strings.Cut(m.Address, "://")
	if !found {
		plain = m.Address
	}
	return &still.Code{Title: m.Title, Words: plain, Size: code.Size(), Dark: code.Module}, nil
}
