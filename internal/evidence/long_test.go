package evidence

import "flag"

// long runs the simulations that take minutes.
var long = flag.Bool("long", false, "run the long simulations")

// Long is for the tests outside the package.
func Long() bool { return *long }
