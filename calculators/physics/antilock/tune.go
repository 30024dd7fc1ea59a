package antilock

type Tune struct {
	Blind, Listen, Sound, SoundBoth, SoundOne, Trust, Lag, Smooth, Light, Settled, Slack, Margin float64
	DueBase, DueSlope, RateBase, RateSlope, Deep, RearShare, SlowCare                            float64
	Answer, Back, Foresee, Bite, Quick, Largest, Smallest, Near, LateBy, LateGrow                float64
	Ease, Tighten, Early, Grows, TooFar, MinLenience, MaxLenience                                float64
	Lead, AlertAt, EaseAt, EaseTo, FloatEase, EaseSpan                                           float64
}

var tune = Tune{Blind: 11.814419438345864, Listen: 0.12, Sound: 0.9983597557653324, SoundBoth: 0.679011379769963, SoundOne: 0.6158324797540885, Trust: 0.6052840113432777, Lag: 0.007, Smooth: 0.015, Light: 0.20308411580468594, Settled: 0.026818255042233546, Slack: 1.02, Margin: 0.1, DueBase: 0.05942139584353774, DueSlope: 0.01129453612552691, RateBase: 0.6, RateSlope: 0.8909662673558635, Deep: 0.15, RearShare: 1.027124323812396, SlowCare: 1.2, Answer: 0.034450832845198696, Back: 0.14771552712476096, Foresee: 0.02, Bite: 1.5, Quick: 4, Largest: 0.2906300290653926, Smallest: 0.015772518467810564, Near: 0.43925193215040903, LateBy: 0.021630873906248037, LateGrow: 0.05, Ease: 1.15, Tighten: 0.9, Early: 0.5405783977477646, Grows: 1.178585462188942, TooFar: 0.8700212202507911, MinLenience: 1.1708757027733632, MaxLenience: 5.024375204842446, Lead: 0.06491094863240911, AlertAt: 0.93, EaseAt: 0.98, EaseTo: 0.9301020448286936, FloatEase: 0.15, EaseSpan: 0.3492851173377923}

func SetTune(t Tune) { tune = t }
func GetTune() Tune  { return tune }
