package dist

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
"gonum.org/v1/gonum/integrate/quad"
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
	dn := &Dunnett{count: 4, tails: newTable(nn.upper, narrow, .5, dunnettEnd)}
	fmt.Println("nested", dn.Upper(2.1, 12.3)-0.171953894342813)
	cc,_:=newOneFactor(equi(9,.5))
	d5:=newTable(cc.upper,narrow,.5,dunnettEnd)
	d8:=newTable(cc.upper,wide,8,dunnettEnd)
	dn8 := newTable(nn.upper, wide, 8, dunnettEnd)
	e1,e2,e3:=0.,0.,0.
	for w:=0.05;w<8;w+=.1 { u:=cc.upper(w); e1=math.Max(e1,math.Abs(d5.at(w)-u)); e2=math.Max(e2,math.Abs(d8.at(w)-u)); e3=math.Max(e3,math.Abs(dn8.at(w)-dn.tails.at(w)))}
	fmt.Println("table errors",e1,e2,e3)
	g := rand.New(rand.NewPCG(1, 2))
	m:=5
	a := dense.New(m, m+2)
	for i := range a.Data {	a.Data[i] = g.NormFloat64() + .7 }
	c5 := dense.New(m, m)
	for i := range m { for j := range m {
		c5.Set(i, j, dense.Dot(a.Row(i), a.Row(j))/math.Sqrt(dense.Dot(a.Row(i), a.Row(i))*dense.Dot(a.Row(j), a.Row(j))))
	}}
	n5,_ := newNested(c5)
	for _, p := range []int{24,18,16,14,12} {
	n5.nodes=make([]float64,p);n5.weight=make([]float64,p)
	quad.Legendre{}.FixedLocations(n5.nodes, n5.weight, 0, 1)
	t0:=time.Now()
	fmt.Println(p,n5.upper(1),n5.upper(2.3),n5.upper(3),n5.upper(4),time.Since(t0)/4)
	}
	t0=time.Now()
	lt,_:=newLattice(c5,two2(c5),1)
	fmt.Println(lt.upper(1),lt.upper(2.3),lt.upper(3),lt.standardError,time.Since(t0))
}
func two2(c dense.Matrix) twoFactor { a,_:=newTwoFactor(c); return a }
