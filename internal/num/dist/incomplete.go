package dist

import "math"

// betaArgument is a point of the beta law with a and b: x, y = 1-x, and ahead = (a+b) x - a, how far x lies above the mean,
// each handed over because the caller knows it without subtraction.
type betaArgument struct{ a, b, x, y, ahead float64 }

// peak returns x^a y^b / B(a, b).
func (g betaArgument) peak() float64 {
	if min(g.a, g.b) < 1 {
		return g.smallPeak()
	}
	n := g.a + g.b
	fall := g.a*drop(g.ahead/g.a, g.x*n/g.a) + g.b*drop(-g.ahead/g.b, g.y*n/g.b)
	return math.Sqrt(g.a*g.b/(2*math.Pi*n)) * math.Exp(-fall+stirling(n)-stirling(g.a)-stirling(g.b))
}

// smallPeak keeps the larger of a and b in Stirling's form and the smaller, below 1, in logarithms of the gamma
// function; the fall of the smaller one's factor is then a plain power.
func (g betaArgument) smallPeak() float64 {
	s, l, u, ahead := g.a, g.b, g.x, -g.ahead
	v := g.y
	if s > l {
		s, l, u, v, ahead = g.b, g.a, g.y, g.x, g.ahead
	}
	lg, _ := math.Lgamma(s + 1)
	if l < 1 {
		ll, _ := math.Lgamma(l + 1)
		ln, _ := math.Lgamma(s + l + 1)
		return s * l / (s + l) * math.Exp(s*math.Log(u)+l*math.Log(v)+ln-lg-ll)
	}
	// Gamma(l+s)/Gamma(l) = l^s (1+s/l)^(l+s-1/2) e^-s exp(stirling(l+s)-stirling(l)), and v = l/(l+s) (1 + ahead/l).
	n := l + s
	lead := s*math.Log(u*n) - l*drop(ahead/l, v*n/l) + ahead - s - 0.5*math.Log1p(s/l) + stirling(n) - stirling(l)
	return s * math.Exp(lead-lg)
}

// tails returns I_x(a, b) and I_y(b, a); the smaller one is computed on its own.
func (g betaArgument) tails() (lower, upper float64) {
	switch {
	case g.x <= 0:
		return 0, 1
	case g.y <= 0:
		return 1, 0
	case g.ahead < 1-2*g.x: // x < (a+1)/(a+b+2)
		lower = min(1, g.side())
		return lower, 1 - lower
	}
	upper = min(1, betaArgument{g.b, g.a, g.y, g.x, -g.ahead}.side())
	return 1 - upper, upper
}

// side returns I_x(a, b), best for x below (a+1)/(a+b+2).
func (g betaArgument) side() float64 {
	p := g.peak()
	if p == 0 {
		return 0
	}
	if max((g.a+g.b)*g.x/(g.a+1), g.x) < 0.6 { // the terms fall at least that fast
		return p / g.a * g.series()
	}
	return p / g.a * g.fraction()
}

// series is 1 + (a+b)/(a+1) x + (a+b)(a+b+1)/((a+1)(a+2)) x² + ..., all terms positive (Abramowitz & Stegun 1964, 26.5.4).
func (g betaArgument) series() float64 {
	sum, term := 1.0, 1.0
	n, a := g.a+g.b, g.a+1
	for term > sum*epsilon/4 {
		term *= n / a * g.x
		sum += term
		n++
		a++
	}
	return sum
}

// fraction is the continued fraction of Didonato & Morris (1992, ACM TOMS 18:360-373, eq. 9) times a.
func (g betaArgument) fraction() float64 {
	const tiny = 1e-300
	lambda := -g.ahead // a - (a+b) x
	c := 1 + lambda
	c0, c1 := g.b/g.a, 1+1/g.a
	yp1 := g.y + 1
	n, p, s := 0.0, 1.0, g.a+1
	an, bn, anp1, bnp1 := 0.0, 1.0, 1.0, c/c1
	r := c1 / c
	for range 1000000 {
		n++
		t, w := n/g.a, n*(g.b-n)*g.x
		e := g.a / s
		alpha := p * (p + c0) * e * e * (w * g.x)
		e = (1 + t) / (c1 + t + t)
		beta := n + w/s + e*(c+n*yp1)
		p = 1 + t
		s += 2
		an, anp1 = anp1, alpha*an+beta*anp1
		bn, bnp1 = bnp1, alpha*bn+beta*bnp1
		last := r
		r = anp1 / nonzero(bnp1, tiny)
		if math.Abs(r-last) <= 4*epsilon*r {
			break
		}
		an, bn, anp1, bnp1 = an/bnp1, bn/bnp1, r, 1
	}
	return r * g.a
}
