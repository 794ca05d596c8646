package source

// statistics lists where figures about the variability of plots come from.
var statistics = []Source{
	{Key: "MEAD1980", Authors: "Mead, R. and Willey, R. W.", Year: 1980, Title: "The concept of a land equivalent ratio and advantages in yields from intercropping", Publisher: "Experimental Agriculture 16:217-228; cited from memory"},
	{Key: "MOORE1956", Authors: "Moore, J. F. and Darroch, J. G.", Year: 1956, Title: "Field plot technique with Blue Lake pole beans, bush beans, carrots, sweet corn, spring and fall cauliflower", Publisher: "Washington Agricultural Experiment Stations; coefficients of variation as the help of R package agridat quotes them, title from memory"},
	{Key: "SMITH1938", Authors: "Smith, H. F.", Year: 1938, Title: "An empirical law describing heterogeneity in the yields of agricultural crops", Publisher: "Journal of Agricultural Science 28:1-23; title from memory"},
}
