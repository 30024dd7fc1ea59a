package kit

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// The script's codec is held against the same table.
func TestQueriesOfTheTable(t *testing.T) {
	text, err := os.ReadFile("testdata/queries.json")
	if err != nil {
		t.Fatal(err)
	}
	var table []struct {
		Query, Written string
		Pairs          [][2]string
	}
	if err := json.Unmarshal(text, &table); err != nil || len(table) == 0 {
		t.Fatal(err)
	}
	for _, row := range table {
		q, _ := Parse(row.Query)
		pairs, written := [][2]string{}, ""
		for i, p := range q.Pairs {
			pairs = append(pairs, [2]string{p.Name, p.Value})
			if i > 0 {
				written += "&"
			}
			written += p.Name + "=" + string(encode(nil, p.Value))
		}
		if diff := cmp.Diff(row.Pairs, pairs); diff != "" {
			t.Errorf("%s (-want +got):\n%s", row.Query, diff)
		}
		_, want, _ := strings.Cut(row.Query, "?")
		if row.Written != "" {
			want = row.Written
		}
		if written != want {
			t.Errorf("%s is written %s, want %s", row.Query, written, want)
		}
	}
}
