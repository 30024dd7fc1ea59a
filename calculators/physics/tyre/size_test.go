package tyre

import "testing"

func TestParseSize(t *testing.T) {
	for text, want := range map[string]Size{
		"110/70R17":           {110, 70, 17},
		"120/70ZR17":          {120, 70, 17},
		"120/70-17":           {120, 70, 17},
		"130/90B16":           {130, 90, 16},
		"180/55ZR17 M/C 73W":  {180, 55, 17},
		"120/70ZR17M/C (58W)": {120, 70, 17},
		" 90/90-21 54S TT":    {90, 90, 21},
	} {
		if got, err := ParseSize(text); err != nil || got != want {
			t.Errorf("%q: got %+v, %v", text, got, err)
		}
	}
}

func TestSizesThatCannotBeRead(t *testing.T) {
	for text, want := range map[string]string{
		"3.00-18":      "there is no / between width and height",
		"12x/70-17":    `"12x" is not a width in millimetres`,
		"20/70-17":     "a width of 20 mm is not a motorcycle tyre's (50 to 330)",
		"120/-17":      "there is no number for the height",
		"120/700-17":   "a height of 700 is not a motorcycle tyre's (30 to 130)",
		"120/70":       "between height and rim there is no -, B, R or ZR",
		"120/70R":      "there is no number for the rim",
		"120/70R30":    "a rim of 30 is not a motorcycle tyre's (8 to 23)",
		"120/70R17 ?!": `" ?!" behind the rim is not a load index and speed letter`,
	} {
		if _, err := ParseSize(text); err == nil || err.Error() != want {
			t.Errorf("%q: got %v, want %s", text, err, want)
		}
	}
}

func FuzzParseSize(f *testing.F) {
	for _, s := range []string{"110/70R17", "120/70ZR17 (58W)", "///", "120/70-", "999/999R999", "１２０/70R17"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		size, err := ParseSize(text)
		if err != nil {
			if err.Error() == "" {
				t.Fatal("a fault without words")
			}
			return
		}
		if c := size.Circumference(); !(c > 0.5 && c < 5) {
			t.Fatalf("%q: %v m", text, c)
		}
	})
}
