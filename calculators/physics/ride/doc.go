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
// drop of the pressure by a third, the wheel's return, a climb back to the next
// trip, slip between 0.05 and 0.15; the nose nods with each and the lever kicks.
// At 50 and 100 Hz slip stays between 0.09 and 0.19 about the curve's peak of 0.13,
// and the controller still releases only some eight times a second: a wheel needs
// a tenth of a second to run off and come back, whatever the valve could do. So
// most of what a faster rate gains is gained by 20 Hz. A patch of sand takes the
// front from twenty-two bar to six within three hundredths of a second, and beyond
// it the brake asks for nearly all that the tyre holds again within 0.15 s. On
// gravel the plain bike's wheels stop and plough, and it stops in four fifths of
// the distance of the one whose wheels still turn. Below walking pace the unit lets
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
// The controller reads exactly what it reads, at its ticks of 2 ms, and so the stop
// changes smoothly with what goes in: half the step moves no distance of a
// controlled stop by 0.2 %, though one in a hundred has another release or two.
//
// # One of many
//
// What nobody knows decides the rest: where along the road the grip is a little
// better, how the hand trembles. So a stop with a controller is ridden many times
// with such differences (Spread), and told as the middle of these rides with the
// limits between which nine of ten lie. What must hold of them stands in the grid
// (grid_test.go): no seed, threshold or tick was picked because it then holds, and
// it holds for other seeds.
package ride
