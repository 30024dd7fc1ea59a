package antilock

type Tune struct {
	Lost, Smooth, Meets, Strays, Slack                                            float64
	DueBase, DueSlope, RateBase, RateSlope, Deep, RearShare, SlowCare             float64
	Answer, Back, Foresee, Bite, Quick, Largest, Smallest, Near, LateBy, LateGrow float64
	Refresh, RefreshBite                                                          float64
	First, Ease, Tighten, Easy, Hard, MaxLenience                                 float64
	Settled                                                                       float64
	Lead, AlertAt, EaseAt, EaseTo, FloatEase, EaseSpan                            float64
}

var tune = Tune{
	Lost: 0.25, Smooth: 0.05, Meets: 0.965, Strays: 0.15, Slack: 1.12,
	DueBase: 0.05, DueSlope: 0.006, RateBase: 0.6, RateSlope: 0.75, Deep: 0.22, RearShare: 0.6, SlowCare: 1.2,
	Answer: 0.02, Back: 0.15, Foresee: 0.02, Bite: 1.5, Quick: 4, Largest: 0.32, Smallest: 0.015, Near: 0.4, LateBy: 0.03, LateGrow: 0.05,
	Refresh: 0.5, RefreshBite: 0.3,
	First: 1.1, Ease: 1.12, Tighten: 0.8, Easy: 0.035, Hard: 0.09, MaxLenience: 4,
	Settled: 0.12, Lead: 0.06, AlertAt: 0.93, EaseAt: 0.98, EaseTo: 0.90, FloatEase: 0.15, EaseSpan: 0.25,
}

func SetTune(t Tune) { tune = t }
func GetTune() Tune  { return tune }
