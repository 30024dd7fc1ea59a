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
// 34 to about 105 mm in the first third of a second, a tenth of a second behind
// the pressure, swings a little past and settles; the pitch ends near 5 degrees,
// the shock on its top-out spring. The front tyre carries nearly all; the rear
// hovers at a few hundred newtons and its wheel, too lightly loaded to slow its
// own spin, runs a few per cent faster than the road. With lift control the
// pressure stops climbing there. Without it, and held, the rear rises slowly at
// first and then ever faster, for a bike on its front wheel is an inverted
// pendulum: from the first daylight to too late is about half a second.
//
// Grab the same force in 0.05 s and the front wheel, still carrying half, is
// past its peak before the fork has moved; it stops turning within a third of a
// second and stays locked, for a sliding tyre holds a third less than its brake
// then asks, however much load has arrived in the meantime.
//
// On wet asphalt a controller of 50 Hz shows a saw of one bar in sixteen on the
// front, slip between 0.1 and 0.2, and every second or so a deep notch in the
// rear's pressure: the unit lets that wheel roll to find the ground's speed. At
// 5 Hz the same saw has teeth of five bars, the nose nods with each, and the
// lever kicks by a tenth of the hand's force; at 100 Hz by a fiftieth. On gravel
// the plain bike's wheels stop and plough, and the bike stops in four fifths of
// the distance of the one whose wheels still turn. Below walking pace the unit
// is blind, a tooth passes only now and then, and it lets go of the brake: the
// last half metre is the hand's.
//
// # Exactness
//
// The account of energy closes to a millionth or better where a thousandth is
// asked; half the step changes a plain stop in the seventh figure; eight stops
// agree with an independent solution by SciPy to 0.01 % (testdata/reference).
package ride
