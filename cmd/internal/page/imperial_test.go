package page

import (
	"strings"
	"testing"

	"example.org/gripleaf/calculators/quantity"
)

// The factors are exact: mile 1609.344 m, foot 0.3048 m, pound 0.45359237 kg (1959 agreement).
func TestProseCarriesBothUnits(t *testing.T) {
	german := quantity.Locale{Decimal: ',', Group: '.'}
	arabic := quantity.Locale{Decimal: '٫', Group: '٬', Zero: '٠'}
	for _, test := range []struct {
		locale     quantity.Locale
		text, want string
	}{
		{quantity.Locale{}, "From 60 km/h on.", "From [60 km/h=37_mph] on."},
		{quantity.Locale{}, "after 17.7 m, not", "after [17.7 m=58_ft], not"},
		{quantity.Locale{}, "7.85 m/s² hard", "[7.85 m/s²=25.8_ft/s²] hard"},
		{quantity.Locale{}, "1,400 mm long", "[1,400 mm=55.1_in] long"},
		{quantity.Locale{}, "5 men and 3 more", "5 men and 3 more"},
		{quantity.Locale{}, "20 °C warm", "[20 °C=68_°F] warm"},
		{quantity.Locale{}, "at −5 °C", "at [−5 °C=23_°F]"},
		{quantity.Locale{}, "3-5 m away", "3-[5 m=16_ft] away"},
		{quantity.Locale{}, "until 60. Metres count", "until 60. Metres count"},
		{german, "nach 17,7 m steht", "nach [17,7 m=58_ft] steht"},
		{arabic, "من ٦٠ كم/س هنا", "من [٦٠ كم/س=٣٧_mph] هنا"},
	} {
		got := ""
		err := quantities(test.text, &quantity.Reader{Locale: test.locale}, func(plain, imperial string) error {
			if imperial != "" {
				plain = "[" + plain + "=" + imperial + "]"
			}
			got += plain
			return nil
		})
		if want := strings.ReplaceAll(test.want, "_", "\u00a0"); err != nil || got != want {
			t.Errorf("%q\n = %q, %v\nwant %q", test.text, got, err, want)
		}
	}
}
