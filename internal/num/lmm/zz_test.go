package lmm_test
import ("testing";"fmt";"math"; . "fairplot/internal/num/lmm")
func TestZZ(t *testing.T){
 var dc,dv,df,ddf,sf,sdf,sdf1 float64; var wc,wv,wf string
 for _,p:=range readPublished(t){ m,_:=New(p.data()); fit,err:=m.Fit(); if err!=nil{t.Fatal(err)}
  if x:=math.Abs(fit.Criterion-p.Criterion);x>dc{dc=x;wc=p.ID}
  for k,c:=range p.Components{ if c.Variance>0{ if x:=apart(fit.Components[k].Variance,c.Variance);x>dv{dv=x;wv=p.ID}}}
  meth:=KenwardRoger; if p.Satterthwaite{meth=Satterthwaite}
  inf,_:=fit.By(meth)
  for k,term:=range p.Terms{ if term.F==nil{continue}; g,_:=inf.TestRows(p.hypothesis(k)); a,b:=apart(g.F,*term.F),apart(g.DenDF,term.DenDF)
   if p.Satterthwaite{ sf=max(sf,a); if term.NumDF>1{sdf=max(sdf,b)}else{sdf1=max(sdf1,b)}}else{ if a>df{df=a;wf=p.ID}; ddf=max(ddf,b)}}
  if fit.Search.Evaluations>12 {fmt.Println(p.ID,fit.Search)}
 }
 fmt.Println(dc,wc,dv,wv,df,wf,ddf,"satt",sf,sdf,sdf1)
 for n,d:=range map[string]Data{"farm":farm(),"network":network(),"eval":evaluations(),"cells":cells()}{ m,_:=New(d); f,_:=m.Fit(); fmt.Println(n,f.Search,f.Components) }
}
