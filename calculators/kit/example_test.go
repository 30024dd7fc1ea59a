package kit_test

import (
	"fmt"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/calculators/stop"
)

// A set of calculators answers a query in SI values, and in the reader's words and units.
func ExampleSet_Work() {
	set := kit.Set{&stop.Calculator}
	w, err := set.Work("calc:stop?speed=60km/h&grip=0.8")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.4f\n", w.Output("braking-distance"))
	fmt.Println(w.Tell("braking-distance", &quantity.Reader{System: quantity.Imperial}))
	// Output:
	// 17.7034
	// 58 ft
}

// What is wrong with a query is told with the place of its letters and a way out.
func ExampleFaults() {
	set := kit.Set{&stop.Calculator}
	query := "stop?sped=60km/h"
	_, err := set.Work(query)
	for _, f := range err.(kit.Faults) {
		fmt.Printf("%q: %s; %s\n", query[f.Offset:f.Offset+f.Length], f.Text, f.Hint)
	}
	// Output:
	// "sped=60km/h": stop has no input "sped"; did you mean speed?
}
