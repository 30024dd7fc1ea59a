package preset

import "example.org/gripleaf/calculators/quantity"

// How values that many calculators have are shown, so that the same thing looks the same everywhere.
var (
	Speed        = quantity.Shown{Kind: quantity.Speed, Metric: "km/h", Imperial: "mph"}
	Distance     = quantity.Shown{Kind: quantity.Length, Metric: "m", Imperial: "ft", MetricDecimals: 1}
	Road         = quantity.Shown{Kind: quantity.Length, Metric: "m", Imperial: "ft"} // a distance along an axis
	Part         = quantity.Shown{Kind: quantity.Length, Metric: "mm", Imperial: "in", ImperialDecimals: 1}
	Bore         = quantity.Shown{Kind: quantity.Length, Metric: "mm", Imperial: "in", MetricDecimals: 1, ImperialDecimals: 3}
	Ratio        = quantity.Shown{Kind: quantity.Number, MetricDecimals: 1}
	Time         = quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 2}
	Deceleration = quantity.Shown{Kind: quantity.Acceleration, Metric: "m/s2", Imperial: "ft/s2", MetricDecimals: 2, ImperialDecimals: 1}
	Grip         = quantity.Shown{Kind: quantity.Number, MetricDecimals: 2}
	Share        = quantity.Shown{Kind: quantity.Share, Metric: "%"}
	FineShare    = quantity.Shown{Kind: quantity.Share, Metric: "%", MetricDecimals: 1}
	Mass         = quantity.Shown{Kind: quantity.Mass, Metric: "kg", Imperial: "lb"}
	Force        = quantity.Shown{Kind: quantity.Force, Metric: "N", Imperial: "lbf"}
	Pressure     = quantity.Shown{Kind: quantity.Pressure, Metric: "bar", Imperial: "psi", MetricDecimals: 1}
	Torque       = quantity.Shown{Kind: quantity.Torque, Metric: "Nm", Imperial: "lbf-ft"}
	Angle        = quantity.Shown{Kind: quantity.Angle, Metric: "deg", MetricDecimals: 1}
	Rate         = quantity.Shown{Kind: quantity.Frequency, Metric: "Hz"}
	FineRate     = quantity.Shown{Kind: quantity.Frequency, Metric: "Hz", MetricDecimals: 1}
	Whole        = quantity.Shown{Kind: quantity.Whole}
	YesNo        = quantity.Shown{Kind: quantity.YesNo}
)
