package wheel_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/kit/kittest"
	"example.org/gripleaf/calculators/physics/tyre"
	"example.org/gripleaf/calculators/wheel"
)

var set = kit.Set{&wheel.Calculator}

// The same size is no error at all, and two sizes swapped are each other's inverse.
func TestErrors(t *testing.T) {
	if w := kittest.Work(t, set, "wheel?original=120/70R17&fitted=120/70-17"); w.Output("speed-error") != 0 || w.Output("slip-error") != 0 {
		t.Errorf("the same size: %v", w.Outputs)
	}
	a, b := kittest.Work(t, set, "wheel?original=110/70R17&fitted=130/80R17"), kittest.Work(t, set, "wheel?original=130/80R17&fitted=110/70R17")
	if got := (1 + a.Output("speed-error")) * (1 + b.Output("speed-error")); math.Abs(got-1) > 1e-12 {
		t.Errorf("swapped: %v", got)
	}
	// A smaller tyre turns faster: the sensor reads fast, and the wheel seems to run ahead of the road.
	if b.Output("speed-error") <= 0 || b.Output("slip-error") >= 0 || a.Output("slip-error") <= 0 {
		t.Errorf("signs: smaller %v, %v, larger %v", b.Output("speed-error"), b.Output("slip-error"), a.Output("slip-error"))
	}
}

func TestSizesThatCannotBeRead(t *testing.T) {
	_, err := set.Work("wheel?original=x&fitted=y") // both are told
	if faults, ok := err.(kit.Faults); !ok || len(faults) != 2 || faults[1].Input != "fitted" || !strings.Contains(faults[0].Hint, "110/70R17") {
		t.Errorf("got %v", err)
	}
}

// A tyre of a circumference 5 % smaller reads 1/0.95, 5.26 % fast.
func TestFivePercentSmaller(t *testing.T) {
	small, large := tyre.Size{Section: 100, Aspect: 69, Rim: 17}, tyre.Size{Section: 100, Aspect: 84, Rim: 17} // 570 and 600 mm
	if got := small.Circumference() / large.Circumference(); math.Abs(got-0.95) > 1e-12 {
		t.Fatalf("the pair is %v", got)
	}
	w := kittest.Work(t, set, "wheel?original=100/84R17&fitted=100/69R17&speed=100km/h")
	if math.Abs(w.Output("speed-error")-0.0526316) > 1e-7 || math.Abs(w.Output("slip-error")+0.0526316) > 1e-7 {
		t.Errorf("speed %v, slip %v", w.Output("speed-error"), w.Output("slip-error"))
	}
}

// At the lowest speed a tooth passes in each cycle.
func TestLowestSpeed(t *testing.T) {
	lowest := kittest.Work(t, set, "wheel?cycle-rate=40Hz").Output("lowest-speed")
	if got := kittest.Work(t, set, fmt.Sprintf("wheel?speed=%.9fm/s", lowest)).Output("pulse-rate"); math.Abs(got-40) > 1e-6 {
		t.Errorf("at %v m/s %v teeth a second", lowest, got)
	}
}

// A clean, true ring counts every tooth; twice as fast makes twice a coil's voltage and leaves a chip's signal as it is;
// one pitch of gap more leaves exp(-2π) of either.
func TestSignal(t *testing.T) {
	for _, sensor := range []string{"coil", "chip"} {
		slow, fast := kittest.Work(t, set, "wheel?speed=40km/h&sensor="+sensor), kittest.Work(t, set, "wheel?speed=80km/h&sensor="+sensor)
		if fast.Output("teeth-counted") != 48 || fast.Output("worst-reading") != 0 {
			t.Errorf("%s: %v teeth, %v", sensor, fast.Output("teeth-counted"), fast.Output("worst-reading"))
		}
		want := map[string]float64{"coil": 2, "chip": 1}[sensor]
		if got := fast.Output("weakest-signal") / slow.Output("weakest-signal"); math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: %v times the signal at twice the speed", sensor, got)
		}
		near, far := kittest.Work(t, set, "wheel?teeth=100&air-gap=1mm&sensor="+sensor), kittest.Work(t, set, fmt.Sprintf("wheel?teeth=100&air-gap=%.12fmm&sensor=%s", 1+math.Pi, sensor))
		if got := far.Output("weakest-signal") / near.Output("weakest-signal"); math.Abs(got-math.Exp(-2*math.Pi)) > 1e-9 {
			t.Errorf("%s: a pitch farther leaves %v", sensor, got)
		}
	}
	silent := kittest.Work(t, set, "wheel").Output("silent-below")
	if at := kittest.Work(t, set, fmt.Sprintf("wheel?speed=%.9fm/s", silent)).Output("weakest-signal"); math.Abs(at-1) > 1e-6 {
		t.Errorf("where a coil falls silent the signal is %v", at)
	}
}

// A missed tooth makes one reading last for two, so half the speed; three in a row a quarter.
func TestMissedTeeth(t *testing.T) {
	for dirt, want := range map[int]float64{0: 0, 1: -0.5, 3: -0.75} {
		w := kittest.Work(t, set, fmt.Sprintf("wheel?sensor=chip&dirt=%d", dirt))
		if w.Output("worst-reading") != want || w.Output("teeth-counted") != float64(48-dirt) {
			t.Errorf("%d dirty: %v, %v counted", dirt, w.Output("worst-reading"), w.Output("teeth-counted"))
		}
	}
	bent := kittest.Work(t, set, "wheel?sensor=chip&runout=1.2mm&air-gap=1.5mm")
	if lost := 48 - bent.Output("teeth-counted"); lost <= 0 || math.Abs(bent.Output("worst-reading")-(1/(lost+1)-1)) > 1e-12 {
		t.Errorf("a bent ring loses %v teeth in one run and reads %v", lost, bent.Output("worst-reading"))
	}
	if gone := kittest.Work(t, set, "wheel?sensor=chip&air-gap=5mm"); gone.Output("teeth-counted") != 0 || gone.Output("worst-reading") != -1 {
		t.Errorf("out of reach: %v counted, %v", gone.Output("teeth-counted"), gone.Output("worst-reading"))
	}
}
