package page

import (
	"testing"

	"example.org/gripleaf/calculators/quantity"
)

// The factors are exact: mile 1609.344 m, foot 0.3048 m, pound 0.45359237 kg (1959 agreement).
func TestProseCarriesBothUnits(t *testing.T) {
	german := quantity.Locale{Decimal: ',', Group: '.'}
	arabic := quantity.Locale{Decimal: '٫', Group: '٬', Zero: '٠'}
	for _, test := range []struct {
		locale     quantity.Locale
		html, want string
	}{
		{quantity.Locale{}, "<p>From 60 km/h on.</p>", `<p>From <span data-imperial="37` + "\u00a0" + `mph">60 km/h</span> on.</p>`},
		{quantity.Locale{}, "after 17.7 m, not", `after <span data-imperial="58` + "\u00a0" + `ft">17.7 m</span>, not`},
		{quantity.Locale{}, "7.85 m/s² hard", `<span data-imperial="25.8` + "\u00a0" + `ft/s²">7.85 m/s²</span> hard`},
		{quantity.Locale{}, "1,400 mm long", `<span data-imperial="55.1` + "\u00a0" + `in">1,400 mm</span> long`},
		{quantity.Locale{}, "5 men and 3 more", "5 men and 3 more"},
		{quantity.Locale{}, "20 °C warm", `<span data-imperial="68` + "\u00a0" + `°F">20 °C</span> warm`},
		{quantity.Locale{}, `<a data-imperial="58 ft">17.7 m</a> and <br>10 m`, `<a data-imperial="58 ft">17.7 m</a> and <br><span data-imperial="33` + "\u00a0" + `ft">10 m</span>`},
		{quantity.Locale{}, "<code>60 km/h</code><math><mn>3 m</mn></math>", "<code>60 km/h</code><math><mn>3 m</mn></math>"},
		{german, "nach 17,7 m steht", `nach <span data-imperial="58` + "\u00a0" + `ft">17,7 m</span> steht`},
		{arabic, "من ٦٠ كم/س هنا", `من <span data-imperial="٣٧` + "\u00a0" + `mph">٦٠ كم/س</span> هنا`},
	} {
		f := frame{Reader: &quantity.Reader{Locale: test.locale}}
		if got := f.given(test.html); got != test.want {
			t.Errorf("given(%q)\n = %q,\nwant %q", test.html, got, test.want)
		}
	}
}
