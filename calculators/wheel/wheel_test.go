package wheel_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/wheel"
)

var set = kit.Set{&wheel.Calculator}

func worked(t *testing.T, query string) *kit.Work {
	t.Helper()
	w, err := set.Work(query)
	if err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	return w
}

func TestParseSize(t *testing.T) {
	for text, want := range map[string]wheel.Size{
		"110/70R17":           {110, 70, 17},
		"120/70ZR17":          {120, 70, 17},
		"120/70-17":           {120, 70, 17},
		"130/90B16":           {130, 90, 16},
		"180/55ZR17 M/C 73W":  {180, 55, 17},
		"120/70ZR17M/C (58W)": {120, 70, 17},
		" 90/90-21 54S TT":    {90, 90, 21},
	} {
		if got, err := wheel.ParseSize(text); err != nil || got != want {
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
		if _, err := wheel.ParseSize(text); err == nil || err.Error() != want {
			t.Errorf("%q: got %v, want %s", text, err, want)
		}
	}
	_, err := set.Work("wheel?original=x&fitted=y") // both are told
	if faults, ok := err.(kit.Faults); !ok || len(faults) != 2 || faults[1].Input != "fitted" || !strings.Contains(faults[0].Hint, "110/70R17") {
		t.Errorf("got %v", err)
	}
}

// The same size is no error at all, and two sizes swapped are each other's inverse.
func TestErrors(t *testing.T) {
	if w := worked(t, "wheel?original=120/70R17&fitted=120/70-17"); w.Output("speed-error") != 0 || w.Output("slip-error") != 0 {
		t.Errorf("the same size: %v", w.Outputs)
	}
	a, b := worked(t, "wheel?original=110/70R17&fitted=130/80R17"), worked(t, "wheel?original=130/80R17&fitted=110/70R17")
	if got := (1 + a.Output("speed-error")) * (1 + b.Output("speed-error")); math.Abs(got-1) > 1e-12 {
		t.Errorf("swapped: %v", got)
	}
	// A smaller tyre turns faster: the sensor reads fast, and the wheel seems to run ahead of the road.
	if b.Output("speed-error") <= 0 || b.Output("slip-error") >= 0 || a.Output("slip-error") <= 0 {
		t.Errorf("signs: smaller %v, %v, larger %v", b.Output("speed-error"), b.Output("slip-error"), a.Output("slip-error"))
	}
}

// A tyre of a circumference 5 % smaller reads 1/0.95, 5.26 % fast.
func TestFivePercentSmaller(t *testing.T) {
	small, large := wheel.Size{Section: 100, Aspect: 69, Rim: 17}, wheel.Size{Section: 100, Aspect: 84, Rim: 17} // 570 and 600 mm
	if got := small.Circumference() / large.Circumference(); math.Abs(got-0.95) > 1e-12 {
		t.Fatalf("the pair is %v", got)
	}
	w := worked(t, "wheel?original=100/84R17&fitted=100/69R17&speed=100km/h")
	if math.Abs(w.Output("speed-error")-0.0526316) > 1e-7 || math.Abs(w.Output("slip-error")+0.0526316) > 1e-7 {
		t.Errorf("speed %v, slip %v", w.Output("speed-error"), w.Output("slip-error"))
	}
}

// At the lowest speed a tooth passes in each cycle.
func TestLowestSpeed(t *testing.T) {
	lowest := worked(t, "wheel?cycle-rate=40Hz").Output("lowest-speed")
	if got := worked(t, fmt.Sprintf("wheel?speed=%.9fm/s", lowest)).Output("pulse-rate"); math.Abs(got-40) > 1e-6 {
		t.Errorf("at %v m/s %v teeth a second", lowest, got)
	}
}

// A clean, true ring counts every tooth; twice as fast makes twice a coil's voltage and leaves a chip's signal as it is;
// one pitch of gap more leaves exp(-2π) of either.
func TestSignal(t *testing.T) {
	for _, sensor := range []string{"coil", "chip"} {
		slow, fast := worked(t, "wheel?speed=40km/h&sensor="+sensor), worked(t, "wheel?speed=80km/h&sensor="+sensor)
		if fast.Output("teeth-counted") != 48 || fast.Output("worst-reading") != 0 {
			t.Errorf("%s: %v teeth, %v", sensor, fast.Output("teeth-counted"), fast.Output("worst-reading"))
		}
		want := map[string]float64{"coil": 2, "chip": 1}[sensor]
		if got := fast.Output("weakest-signal") / slow.Output("weakest-signal"); math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: %v times the signal at twice the speed", sensor, got)
		}
		near, far := worked(t, "wheel?teeth=100&air-gap=1mm&sensor="+sensor), worked(t, fmt.Sprintf("wheel?teeth=100&air-gap=%.12fmm&sensor=%s", 1+math.Pi, sensor))
		if got := far.Output("weakest-signal") / near.Output("weakest-signal"); math.Abs(got-math.Exp(-2*math.Pi)) > 1e-9 {
			t.Errorf("%s: a pitch farther leaves %v", sensor, got)
		}
	}
	silent := worked(t, "wheel").Output("silent-below")
	if at := worked(t, fmt.Sprintf("wheel?speed=%.9fm/s", silent)).Output("weakest-signal"); math.Abs(at-1) > 1e-6 {
		t.Errorf("where a coil falls silent the signal is %v", at)
	}
}

// A missed tooth makes one reading last for two, so half the speed; three in a row a quarter.
func TestMissedTeeth(t *testing.T) {
	for dirt, want := range map[int]float64{0: 0, 1: -0.5, 3: -0.75} {
		w := worked(t, fmt.Sprintf("wheel?sensor=chip&dirt=%d", dirt))
		if w.Output("worst-reading") != want || w.Output("teeth-counted") != float64(48-dirt) {
			t.Errorf("%d dirty: %v, %v counted", dirt, w.Output("worst-reading"), w.Output("teeth-counted"))
		}
	}
	bent := worked(t, "wheel?sensor=chip&runout=1.2mm&air-gap=1.5mm")
	if lost := 48 - bent.Output("teeth-counted"); lost <= 0 || math.Abs(bent.Output("worst-reading")-(1/(lost+1)-1)) > 1e-12 {
		t.Errorf("a bent ring loses %v teeth in one run and reads %v", lost, bent.Output("worst-reading"))
	}
	if gone := worked(t, "wheel?sensor=chip&air-gap=5mm"); gone.Output("teeth-counted") != 0 || gone.Output("worst-reading") != -1 {
		t.Errorf("out of reach: %v counted, %v", gone.Output("teeth-counted"), gone.Output("worst-reading"))
	}
}

func FuzzParseSize(f *testing.F) {
	for _, s := range []string{"110/70R17", "120/70ZR17 (58W)", "///", "120/70-", "999/999R999", "１２０/70R17"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		size, err := wheel.ParseSize(text)
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
