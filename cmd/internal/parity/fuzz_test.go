package parity_test

import (
	"encoding/binary"
	"encoding/json"
	"math"
	"testing"

	"example.org/gripleaf/calculators/quantity"
)

// FuzzABI calls the module's exports in any order with any numbers and any request. Each call is five bytes, which one
// and a length, and what follows for it. Whatever the host does, it gets a reply within the memory that is JSON, and
// the next right request is answered as always.
func FuzzABI(f *testing.F) {
	call := func(which byte, n uint32, more string) []byte {
		return append(binary.LittleEndian.AppendUint32([]byte{which}, n), more...)
	}
	f.Add(call(0, 1<<31, ""))
	f.Add(append(call(4, 10, "calc:stop\n*"), call(1, 11, "")...))
	f.Add(append(call(4, 36, "calc:antilock?speed=50km/h&grip=0.8"), call(3, 35, "\x00\x00\x00\x00\x00\x00\xf8\x7f")...))
	f.Add(append(call(4, 20, "system=imperial\ndecimal=,"), call(2, 0xffffffff, "")...))
	f.Add(append(call(4, 32, "calc:stop\nroad 10\nroad NaN\nnosuch"), call(5, 32, "")...))
	h := start(f, shipped)
	h.partial = func(_, _ int32, reply []byte) bool { return false } // what takes long is stopped
	h.ask("reader", "")
	want := native("stop", &quantity.Reader{})
	f.Fuzz(func(t *testing.T, script []byte) {
		h.tb = t
		for len(script) >= 5 {
			which, n := script[0]%6, binary.LittleEndian.Uint32(script[1:])
			script = script[5:]
			switch which {
			case 0:
				h.call("room", uint64(n))
				continue
			case 1, 2:
				h.answers([]string{"work", "reader"}[which-1], uint64(n))
			case 3:
				seconds := math.NaN()
				if len(script) >= 8 {
					seconds = math.Float64frombits(binary.LittleEndian.Uint64(script))
					script = script[8:]
				}
				h.answers("frame", uint64(n), math.Float64bits(seconds))
			case 5:
				h.answers("reading", uint64(n))
			case 4:
				size := min(int(n%256), len(script))
				h.module.Memory().Write(uint32(h.call("room", uint64(size))), script[:size])
				script = script[size:]
			}
		}
		h.ask("reader", "")
		if got := h.ask("work", "stop\n*"); got != want {
			t.Errorf("afterwards the module answers %.200s", got)
		}
	})
}

// answers calls an export and checks that the reply is JSON within the memory.
func (h *host) answers(export string, arguments ...uint64) {
	h.tb.Helper()
	if reply := h.reply(h.call(export, arguments...)); !json.Valid([]byte(reply)) {
		h.tb.Errorf("%s(%v): %.200q", export, arguments, reply)
	}
}
