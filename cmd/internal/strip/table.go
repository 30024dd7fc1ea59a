package strip

import (
	"bytes"
	"encoding/binary"
)

// The function table as the Go 1.20 to 1.26 linkers write it for a 64-bit little-endian target; WebAssembly counts as
// one. Layout: GOROOT/src/runtime/symtab.go (pcHeader) and runtime2.go (_func).
var magic = []byte{0xf1, 0xff, 0xff, 0xff, 0, 0, 1, 8}

// Offsets of the fields of one function's record.
const (
	nameOffset = 4
	fileTable  = 20
	lineTable  = 24
	unitOffset = 32
	startLine  = 36
	recordSize = 44
)

// table is the function table inside an image.
type table struct {
	b                              []byte // from the header on
	functions                      int
	names, units, files, pcs, list int // offsets of its parts, in this order
}

func findTable(image []byte) (table, bool) {
	at := bytes.Index(image, magic)
	if at < 0 || len(image)-at < 72 {
		return table{}, false
	}
	b := image[at:]
	word := func(i int) int { return int(binary.LittleEndian.Uint64(b[8+8*i:])) }
	t := table{b, word(0), word(3), word(4), word(5), word(6), word(7)}
	ok := 0 < t.functions && t.functions < 1<<20 && 72 <= t.names && t.names <= t.units && t.units <= t.files &&
		t.files <= t.pcs && t.pcs <= t.list && t.list+8*t.functions < len(b)
	return t, ok
}

// record is one function's record, nil if the table does not hold together.
func (t table) record(i int) []byte {
	at := t.list + int(binary.LittleEndian.Uint32(t.b[t.list+8*i+4:]))
	if at < t.list || at+recordSize > len(t.b) {
		return nil
	}
	return t.b[at : at+recordSize]
}

// forget sets to zero what only a traceback reads: function names, file names, lines. An offset of zero means
// "none" to the runtime. Whether a function is special to the runtime is told by a number that stays.
func forget(image []byte) {
	t, ok := findTable(image)
	if !ok {
		return
	}
	for i := range t.functions {
		if t.record(i) == nil {
			return
		}
	}
	kept := t.keptPCs()
	for i := range t.functions {
		r := t.record(i)
		for _, field := range [...]int{nameOffset, fileTable, lineTable, unitOffset, startLine} {
			clear(r[field : field+4])
		}
	}
	clear(t.b[t.names:t.pcs])
	for i, keep := range kept {
		if !keep {
			t.b[t.pcs+i] = 0
		}
	}
}

// keptPCs marks the bytes of the pc tables that stack growth and the collector read: all but files and lines.
func (t table) keptPCs() []bool {
	kept := make([]bool, t.list-t.pcs)
	for i := range t.functions {
		r := t.record(i)
		t.keep(kept, r, 16)
		at := recordSize
		count := int(binary.LittleEndian.Uint32(r[28:]))
		start := t.list + int(binary.LittleEndian.Uint32(t.b[t.list+8*i+4:]))
		for k := range min(count, 16) {
			if field := start + at + 4*k; field+4 <= len(t.b) {
				t.keep(kept, t.b[field:field+4], 0)
			}
		}
	}
	return kept
}

// keep marks the table that a field points to: pairs of varints up to a zero.
func (t table) keep(kept []bool, record []byte, field int) {
	at := int(binary.LittleEndian.Uint32(record[field:]))
	if at == 0 {
		return
	}
	pcs := t.b[t.pcs:t.list]
	varint := func() bool {
		_, n := binary.Uvarint(pcs[min(at, len(pcs)):])
		for range n {
			kept[at] = true
			at++
		}
		return n > 0
	}
	for first := true; at < len(pcs); first = false {
		end := pcs[at] == 0 && !first
		if !varint() || end || !varint() {
			return
		}
	}
}
