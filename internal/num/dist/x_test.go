package dist

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"fairplot/internal/num/dense"
)

func equi(m int, rho float64) dense.Matrix {
	c := dense.New(m, m)
	for i := range m {
		for j := range m {
			c.Set(i, j, rho)
		}
		c.Set(i, i, 1)
	}
	return c
}

func TestX(t *testing.T) {
	for _, x := range []struct {
		m      int
		df, up float64
	}{{2, 27, 2.33341154692844}, {4, 20, 2.65102958957997}, {8, 36, 2.78823332595849}, {9, 5, 3.97014834574396}} {
		t0 := time.Now()
		d, err := NewDunnett(equi(x.m, 0.5), 1)
		q := d.Quantile(.95, x.df)
		fmt.Println(d.Method(), err, q-x.up, time.Since(t0))
	}
	r := []float64{1, .5, .4, .3, .5, 1, .6, .2, .4, .6, 1, .45, .3, .2, .45, 1}
	c := dense.Matrix{4, 4, r}
	t0 := time.Now()
	d, _ := NewDunnett(c, 1)
	fmt.Println(d.Method(), d.Upper(2.1, 12.3)-0.171953894342813, time.Since(t0))
	nn, ok := newNested(c)
	two, mis := newTwoFactor(c)
	fmt.Println(ok, two, mis)
	for w := 0.1; w < 8; w += .6 {
		fmt.Println(w, nn.upper(w)/two.upper(w)-1)
	}
	dn := &Dunnett{count: 4, tails: newTable(nn.upper, .5, dunnettEnd)}
	fmt.Println("nested", dn.Upper(2.1, 12.3)-0.171953894342813)
	g := rand.New(rand.NewPCG(1, 2))
	for _, m := range []int{3, 4, 5, 7, 12} {
		for range 3 {
			a := dense.New(m, m+2)
			for i := range a.Data {
				a.Data[i] = g.NormFloat64() + .7
			}
			c := dense.New(m, m)
			for i := range m {
				for j := range m {
					c.Set(i, j, dense.Dot(a.Row(i), a.Row(j))/math.Sqrt(dense.Dot(a.Row(i), a.Row(i))*dense.Dot(a.Row(j), a.Row(j))))
				}
			}
			t0 := time.Now()
			d, err := NewDunnett(c, 1)
			if err != nil {
				fmt.Println(err)
				continue
			}
			t1 := time.Since(t0)
			u := d.Upper(2.3, 15)
			d2, _ := NewDunnett(c, 2)
			_, mis := newTwoFactor(c)
			fmt.Println(m, d.Method(), u, d2.Upper(2.3, 15)-u, d.Error, mis, t1, time.Since(t0))
		}
	}
}
