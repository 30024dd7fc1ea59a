package fault

import "testing"

func TestMeant(t *testing.T) {
	for _, test := range []struct {
		name  string
		valid []string
		want  string
	}{
		{"stpo", []string{"stop", "slip"}, `did you mean "stop"?`},
		{"brake", []string{"stop", "slip", "slip"}, "use one of slip, stop"},
		{"brake", []string{"stop"}, "use stop"},
		{"brake", nil, ""},
	} {
		if got := Meant(test.name, test.valid); got != test.want {
			t.Errorf("Meant(%q, %q) = %q, want %q", test.name, test.valid, got, test.want)
		}
	}
}
