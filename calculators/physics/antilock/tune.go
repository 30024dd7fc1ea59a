package antilock

type Tune struct {
	Forget, Trail, Surge, Bears, Blind, Listen, Sound, SoundBoth, SoundOne, Trust, Lag, Smooth, Light, Settled, Slack, Margin float64
	DueBase, DueSlope, RateBase, RateSlope, Deep, RearShare, SlowCare                                                         float64
	Answer, Back, Foresee, Bite, Quick, Largest, Smallest, Near, LateBy, LateGrow                                             float64
	Ease, Tighten, Early, Grows, TooFar, MinLenience, MaxLenience                                                             float64
	Lead, AlertAt, EaseAt, EaseTo, FloatEase, EaseSpan                                                                        float64
}

var tune = Tune{Forget: 0.7, Trail: 0.016, Surge: 0.07, Bears: 1.9272574253867771, Blind: 12.959991530399156, Listen: 0.12, Sound: 0.85, SoundBoth: 1.0, SoundOne: 0.6158324797540885, Trust: 0.30111434525468084, Lag: 0.007, Smooth: 0.014544730562227985, Light: 0.20308411580468594, Settled: 0.031127615811589012, Slack: 1.0512115251312952, Margin: 0.07146636347497691, DueBase: 0.08858519030535422, DueSlope: 0.01129453612552691, RateBase: 0.6, RateSlope: 1.112703291160877, Deep: 0.2185107478821575, RearShare: 0.6893455306319637, SlowCare: 1.2, Answer: 0.03664659588328107, Back: 0.14771552712476096, Foresee: 0.028911221557409293, Bite: 1.362933940594779, Quick: 4, Largest: 0.44310841325321393, Smallest: 0.015772518467810564, Near: 0.43925193215040903, LateBy: 0.021630873906248037, LateGrow: 0.0703862884722334, Ease: 1.1257729807006083, Tighten: 1.0167888149326278, Early: 0.5332683437940151, Grows: 1.178585462188942, TooFar: 0.8700212202507911, MinLenience: 1.1708757027733632, MaxLenience: 5.024375204842446, Lead: 0.09138130888483592, AlertAt: 0.93, EaseAt: 1.1733102872554462, EaseTo: 0.9301020448286936, FloatEase: 0.10271033996075683, EaseSpan: 0.32530041789794273}

func SetTune(t Tune) { tune = t }
func GetTune() Tune  { return tune }
