package antilock

// What a wheel may do before it trips, and how the pressure answers. Invented,
// demo: the outcome of a search over the demo bikes, all surfaces and cycle
// rates from 5 to 100 Hz for short stops without a locked wheel.

const (
	forget       = 0.86   // share of the last trip's pressure that is remembered when a trip comes at less
	trailing     = 0.019  // time by which the followed force trails, s
	surge        = 0.07   // by which the force leads its trail while it still grows with the hand
	bears        = 1.9    // slip over what is due up to which a growing force excuses it
	blind        = 13     // added to the excess that trips, over speed: at a walk the rate is a guess, m²/s³
	listen       = 0.12   // time a wheel is given to come back when it is let go to find the ground's speed, s
	letGo        = 0.85   // share of the pressure that is let go for it
	doubt        = 2.00   // time without a wheel at the reference after which that is done, s
	doubtAlone   = 1.77   // the same with one channel, which must spend the front wheel on it, s
	light        = 0.20   // share of the last trip's pressure at which a wheel rolls
	settled      = 0.023  // time after which it does, s
	dueLeast     = 0.100  // slip that is due on the slipperiest ground
	dueGrowth    = 0.0124 // and for each m/s² of deceleration, s²/m
	excessLeast  = 0.6    // excess that trips on the slipperiest ground, m/s²
	excessGrowth = 1.11   // and for each m/s² of deceleration
	runaway      = 0.37   // slip beyond what is far too much at which a release goes on, whatever was worked out
	rearShare    = 0.60   // of the slip that is due at the rear: it steadies the bike and tells the reference
	fastCare     = 0.75   // share of it at which the fastest unit trips: it need not leave room for a big release
	slowCare     = 1.6    // by which a unit trips earlier for each second of its period
	answer       = 0.037  // time a wheel is given to answer a release before it is judged again, s
	back         = 0.15   // time in which a release is to bring the slip back, s
	foresight    = 0.035  // time by which a returning wheel is met early, s
	bite         = 1.56   // rebuild, of the pressure at the last trip a second; what that makes in a period is released
	quick        = 4      // rebuild below what a release leaves
	largest      = 0.33   // share that the slowest unit releases
	smallest     = 0.018  // share that the fastest unit releases
	nearly       = 0.44   // share of the excess that trips at which a rebuild is held off
	overdue      = 0.022  // time a trip may be late before the rebuild is hurried, s
	hurry        = 0.059  // time in which it is hurried as much again, s
	moreSlip     = 1.13   // factor by which more slip is borne after a trip at a force that still grew
	lessSlip     = 0.82   // and less after a trip at one that fell
	early        = 0.53   // share of the slip that is due at which the force is noted for it
	grows        = 1.18   // force at the trip over that one that counts as growing
	tooFar       = 0.87   // of the slip that is due, to which 0.03 is added, is far too much
	leastSlip    = 1.17   // least that the slip that is due is stretched by
	mostSlip     = 7      // and most
)
