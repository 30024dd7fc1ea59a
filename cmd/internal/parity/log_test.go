package parity_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/measured"
	"example.org/gripleaf/calculators/quantity"
)

var natively = kit.Set{measured.Logged()}

// nativeLog answers as the module for logs does.
func nativeLog(t *testing.T, query, log string, r *quantity.Reader) string {
	t.Helper()
	q, faults := kit.Parse(query)
	if len(faults) > 0 {
		return string(kit.AppendFaults(nil, faults, r))
	}
	w, err := natively.Prepare(q)
	if err == nil {
		w.Attachment = log
		err = w.Run()
	}
	if err != nil {
		return string(kit.AppendFaults(nil, err, r))
	}
	return string(kit.AppendAnswer(nil, w.Answer(r, nil)))
}

func TestLogsSameAnswers(t *testing.T) {
	h := start(t, logged)
	files, err := filepath.Glob("../../../testdata/stops/*.[cg]*")
	if err != nil || len(files) < 9 {
		t.Fatal(files, err)
	}
	logs := []string{"", "time (s),speed (km/h)\n0,1\n1,x\n", "time (s),latitude,longitude\n0,45,7\n1,45.0001,7\n"}
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		logs = append(logs, string(text))
	}
	for i, log := range logs { // one after the other, for both sides keep the last one worked up
		for reader, lines := range readers {
			r := kit.ParseReader(lines)
			h.ask("reader", lines)
			for _, query := range []string{"test", "test?speed=100km/h", "test?stop=2", "stop?speed=60km/h"} {
				got, want := h.ask("work", query+"\n*\n"+log), nativeLog(t, query, log, &r)
				if got != want {
					compare(t, reader+": "+query+" with log "+string(rune('0'+i)), got, want)
				}
			}
		}
	}
}

// A log is somebody's file: whatever is in it, the module answers, and goes on answering.
func TestWildLogs(t *testing.T) {
	h := start(t, logged)
	for _, log := range []string{"\x00", "\"", strings.Repeat(",", 1<<18), strings.Repeat("0,0\n", 1<<15), strings.Repeat("time (s),speed (km/h)\n", 1000),
		"time (s),speed (km/h)\n" + strings.Repeat("0,100\n", 20000), "time (s),speed (km/h)\n0,1e308\n1,-1e308\n"} {
		if reply := h.ask("work", "test\n*\n"+log); !json.Valid([]byte(reply)) {
			t.Errorf("%.20q: %.100q", log, reply)
		}
	}
}
