package antilock

import "fmt"

type Tune struct {
	Listen, Sound, SoundBoth, SoundOne, Trust, Lag, Smooth, Light, Settled, Slack, Margin float64
	DueBase, DueSlope, RateBase, RateSlope, Deep, RearShare, SlowCare                     float64
	Answer, Back, Foresee, Bite, Quick, Largest, Smallest, Near, LateBy, LateGrow         float64
	Ease, Tighten, Early, Grows, TooFar, MinLenience, MaxLenience                         float64
	Lead, AlertAt, EaseAt, EaseTo, FloatEase, EaseSpan                                    float64
}

var tune = Tune{
	Listen: 0.12, Sound: 0.85, SoundBoth: 0.6, SoundOne: 0.8, Trust: 0.75, Lag: 0.007, Smooth: 0.015, Light: 0.25, Settled: 0.03, Slack: 1.02, Margin: 0.1,
	DueBase: 0.05, DueSlope: 0.006, RateBase: 0.6, RateSlope: 0.75, Deep: 0.15, RearShare: 0.8, SlowCare: 1.2,
	Answer: 0.02, Back: 0.15, Foresee: 0.02, Bite: 1.5, Quick: 4, Largest: 0.32, Smallest: 0.015, Near: 0.4, LateBy: 0.03, LateGrow: 0.05,
	Ease: 1.15, Tighten: 0.9, Early: 0.7, Grows: 1.04, TooFar: 1.5, MinLenience: 0.6, MaxLenience: 5,
	Lead: 0.06, AlertAt: 0.93, EaseAt: 0.98, EaseTo: 0.90, FloatEase: 0.15, EaseSpan: 0.25,
}

func SetTune(t Tune) { tune = t }
func GetTune() Tune  { return tune }

func (u *Unit) Debug() string {
	c := &u.channels[1]
	j := u.judge(1)
	return fmt.Sprintf("decel=%.2f extra=%.2f age=%.2f ph=%d cyc=%d rel=%.5f slip=%.4f due=%.4f exc=%.2f trip=%v near=%v len=%.2f drop=%.0f last=%.0f rate=%.2f", u.reference.decel, u.reference.extra, u.reference.age, c.phase, c.cycles, c.release, j.slip, j.due, j.excess, j.trip, j.near, c.lenience, c.drop, c.last, u.rate[1])
}
