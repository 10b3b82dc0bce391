package parse
import ("testing";"os";"fmt";"tankroll/record";"strings")
func TestZZ(t *testing.T){ raw,_:=os.ReadFile(os.Getenv("ZZ")); for _,s:=range Typed(string(raw)){ d:=newDoc(s,Hints{}); for _,p:=range d.split(){ fmt.Println("SECTION",p.from,p.to,p.title.kind,p.title.phrase,p.title.also)
 for _,k:=range record.Kinds(){ if want:=os.Getenv("ZK"); want!="" && !strings.HasPrefix(string(k),want){continue}; r:=d.readAs(k,p); fmt.Printf("  %s worth %.2f evident %v left %v\n",k,r.worth,r.evident(),r.left); if os.Getenv("ZV")!="" { for _,e:=range r.entries{ fmt.Printf("     row=%v more=%v head=%v:",e.row,e.more,e.head); for _,f:=range e.facts{fmt.Printf(" %s=%q",f.field,textOf(f.read.toks))}; fmt.Println()}}}
 }
 for i,l:=range d.lines{fmt.Println(i,l.head,l.rule,textOf(l.toks))}
}}
