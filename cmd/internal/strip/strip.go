// Package strip makes a Go WebAssembly module small on the wire without changing what it computes.
//
// Three things in such a module cost a reader bytes and give nothing back. The linker cuts the data section at every
// short run of zeros, and the tens of thousands of little headers compress badly: here the data become few, long
// segments again. And the function table carries names, files and lines that only a traceback would read: they are set
// to zero, where brotli makes them vanish. And the runtime carries code that prints tracebacks, dumps and execution
// traces: nobody can ask for those in a page, so those functions are emptied; a module that dies traps without a word,
// as its host expects. The tables that the garbage collector and the growing of stacks need stay.
package strip

import (
	"encoding/binary"
	"errors"
	"fmt"
)

// section ids of the WebAssembly core specification, 5.5.2.
const (
	customSection = 0
	codeSection   = 10
	dataSection   = 11
)

// gap is the longest run of zeros that stays inside a data segment.
const gap = 512

// Module returns a smaller form of a module made by the Go linker. A module whose function table it does not know
// (another version of Go) keeps that table whole; one that is not WebAssembly is an error.
func Module(wasm []byte) ([]byte, error) {
	parts, err := sections(wasm)
	if err != nil {
		return nil, err
	}
	var image []byte
	base := 0
	for _, p := range parts {
		if p.id == dataSection {
			if image, base, err = lay(p.body); err != nil {
				return nil, err
			}
		}
	}
	idle := idleFunctions(image)
	forget(image)
	out := append(make([]byte, 0, len(wasm)), wasm[:8]...)
	for _, p := range parts {
		body := p.body
		switch p.id {
		case customSection: // build id and producers: nothing a reader needs
			continue
		case codeSection:
			if body, err = empty(body, idle); err != nil {
				return nil, err
			}
		case dataSection:
			body = segments(image, base)
		}
		out = append(out, p.id)
		out = binary.AppendUvarint(out, uint64(len(body)))
		out = append(out, body...)
	}
	return out, nil
}

type section struct {
	id   byte
	body []byte
}

func sections(wasm []byte) ([]section, error) {
	if len(wasm) < 8 || string(wasm[:4]) != "\x00asm" {
		return nil, errors.New("strip: not a WebAssembly module")
	}
	var parts []section
	r := reader{b: wasm, at: 8}
	for r.at < len(wasm) && r.err == nil {
		parts = append(parts, section{r.byte(), r.bytes(r.unsigned())})
	}
	return parts, r.err
}

// mostMemory bounds the image; a calculators' module has about a megabyte of data.
const mostMemory = 64 << 20

// lay writes the segments into one image, whose first byte has the address base.
func lay(body []byte) (image []byte, base int, err error) {
	r := reader{b: body}
	count := r.unsigned()
	base = mostMemory
	for i := 0; i < count && r.err == nil; i++ {
		kind, opcode := r.byte(), r.byte()
		offset := r.signed()
		end := r.byte()
		data := r.bytes(r.unsigned())
		if r.err != nil {
			break
		}
		if kind != 0 || opcode != 0x41 || end != 0x0b || offset < 0 || offset+len(data) > mostMemory {
			return nil, 0, errors.New("strip: a data segment is not one that the Go linker writes")
		}
		if offset+len(data) > len(image) {
			image = append(image, make([]byte, offset+len(data)-len(image))...)
		}
		copy(image[offset:], data)
		base = min(base, offset)
	}
	if r.err != nil || count == 0 {
		return nil, 0, r.err
	}
	return image[base:], base, nil
}

func segments(image []byte, base int) []byte {
	var out []byte
	count := 0
	for at := 0; at < len(image); {
		if image[at] == 0 {
			at++
			continue
		}
		end := at + 1
		for zeros, i := 0, end; i < len(image) && zeros < gap; i++ {
			zeros++
			if image[i] != 0 {
				zeros, end = 0, i+1
			}
		}
		out = append(out, 0, 0x41)
		out = appendSigned(out, base+at)
		out = append(out, 0x0b)
		out = binary.AppendUvarint(out, uint64(end-at))
		out = append(out, image[at:end]...)
		count++
		at = end
	}
	return append(binary.AppendUvarint(nil, uint64(count)), out...)
}

func appendSigned(b []byte, v int) []byte {
	for {
		low := byte(v & 0x7f)
		v >>= 7
		if v == 0 && low&0x40 == 0 || v == -1 && low&0x40 != 0 {
			return append(b, low)
		}
		b = append(b, low|0x80)
	}
}

// reader reads LEB128 numbers and bytes, and remembers the first error.
type reader struct {
	b   []byte
	at  int
	err error
}

func (r *reader) fail() {
	if r.err == nil {
		r.err = fmt.Errorf("strip: the module ends early, at byte %d of a part", r.at)
	}
}

func (r *reader) byte() byte {
	if r.at >= len(r.b) {
		r.fail()
		return 0
	}
	r.at++
	return r.b[r.at-1]
}

func (r *reader) bytes(n int) []byte {
	if r.err != nil || n < 0 || n > len(r.b)-r.at {
		r.fail()
		return nil
	}
	r.at += n
	return r.b[r.at-n : r.at]
}

func (r *reader) unsigned() int {
	v, n := binary.Uvarint(r.b[min(r.at, len(r.b)):])
	if n <= 0 || v > 1<<31 {
		r.fail()
		return 0
	}
	r.at += n
	return int(v)
}

func (r *reader) signed() int {
	v, shift := 0, 0
	for {
		b := r.byte()
		if r.err != nil || shift > 35 {
			r.fail()
			return 0
		}
		v |= int(b&0x7f) << shift
		shift += 7
		if b < 0x80 {
			if b&0x40 != 0 {
				v |= -1 << shift
			}
			return v
		}
	}
}
