package strip

import (
	"encoding/binary"
	"strings"
)

// idle are the beginnings of the names of functions that run only while the runtime prints how it dies, dumps or checks
// its state, writes an execution trace or a profile, or compares the types of several modules, though here
// is only one. What asks whether a trace is on stays.
var idle = []string{
	"runtime.schedtrace", "runtime.printanycustomtype", "runtime.traceback", "runtime.goroutineheader",
	"runtime.printArgs", "runtime.printcreatedby", "runtime.printAncestor", "runtime.printCgoTraceback",
	"runtime.printOneCgoTraceback", "runtime.printFuncName", "runtime.expandCgoFrames",
	"runtime.(*profBuf).", "runtime.(*Frames).", "runtime.makeTraceFrame", "runtime.traceAdvance",
	"runtime.dumpScanStats", "runtime.gcDumpObject", "runtime.dumpgstatus", "runtime.hexdump",
	"runtime.(*hexdumper).", "runtime.traceReadCPU", "runtime.traceWriter.", "runtime.traceEventWriter.",
	"runtime.(*traceRegionAlloc).", "runtime.(*traceMap).", "runtime.(*traceStackTable).",
	"runtime.(*traceStringTable).", "runtime.(*traceTypeTable).", "runtime.(*traceBuf).", "runtime.dumpStacksRec",
	"runtime.dumpTypesRec", "runtime.traceRegisterLabels", "runtime.fpTracebackPartialExpand",
	"runtime.doRecordGoroutineProfile", "runtime.saveBlockEventStack", "runtime.printScavTrace",
	"runtime.traceLocker.G", "runtime.traceLocker.S", "runtime.traceLocker.P", "runtime.traceLocker.H",
	"runtime.traceLocker.e", "runtime.traceStack", "runtime.typesEqual", "runtime.checkFinalizersAndCleanups",
	"runtime.findGoroutineLeaks", "runtime.(*mspan).reportZombies", "runtime.badPointer", "runtime.setCheckmark",
	"runtime.runCheckmark", "runtime.getCheckmark", "runtime.saveblockevent", "runtime.saveg",
	"runtime.fpunwindExpand", "runtime.(*g).isMaybeRunnable", "runtime.findMaybeRunnableGoroutines",
}

// firstFunction is the program counter of the first body in the code section (cmd/link/internal/wasm, funcValueOffset).
const firstFunction = 0x1000

// idleFunctions lists the bodies of the code section that can be emptied; none if the table is not as expected.
func idleFunctions(image []byte) map[int]bool {
	t, ok := findTable(image)
	if !ok {
		return nil
	}
	list := make(map[int]bool)
	last := firstFunction - 1
	for i := range t.functions {
		r := t.record(i)
		pc := int(binary.LittleEndian.Uint32(t.b[t.list+8*i:]))
		if r == nil || pc <= last {
			return nil
		}
		last = pc
		if isIdle(t.name(r)) {
			list[pc-firstFunction] = true
		}
	}
	return list
}

func isIdle(name string) bool {
	for _, beginning := range idle {
		if strings.HasPrefix(name, beginning) {
			return true
		}
	}
	return false
}

// name is the function's name as the table has it.
func (t table) name(record []byte) string {
	at := t.names + int(binary.LittleEndian.Uint32(record[nameOffset:]))
	if at < t.names || at >= t.units {
		return ""
	}
	name, _, _ := strings.Cut(string(t.b[at:min(at+120, t.units)]), "\x00")
	return name
}

// nothing is a body without locals that traps.
var nothing = []byte{0, 0x00, 0x0b}

// empty replaces the bodies of a code section that are in the list.
func empty(code []byte, list map[int]bool) ([]byte, error) {
	r := reader{b: code}
	count := r.unsigned()
	for i := range list {
		if i >= count {
			return code, nil
		}
	}
	out := binary.AppendUvarint(nil, uint64(count))
	for i := 0; i < count && r.err == nil; i++ {
		body := r.bytes(r.unsigned())
		if list[i] {
			body = nothing
		}
		out = binary.AppendUvarint(out, uint64(len(body)))
		out = append(out, body...)
	}
	return out, r.err
}
