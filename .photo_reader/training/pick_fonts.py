"""Choose font files for training: families with regular/bold/italic/condensed faces; copy and index."""
import json, os, re, shutil, subprocess
rows=subprocess.run(["fc-list","--format","%{file}|%{family}|%{style}|%{weight}|%{slant}|%{width}\n"],capture_output=True,text=True).stdout.splitlines()
fam={}
skip=re.compile(r"emoji|symbol|math|dingbat|Z003|Chancery|Mono PS|Devanagari|Ornaments|Initial|Kaffee|Display SC|Looped|D050000L",re.I)
for r in rows:
    f,family,style,w,sl,wd=r.split("|")
    family=family.split(",")[0]
    if skip.search(family) or skip.search(style) or not f.lower().endswith((".ttf",".otf")): continue
    base=os.path.basename(f)
    m=re.match(r"Noto (Sans|Serif)( Display| UI)?( [A-Z].*)?$",family)
    if family.startswith("Noto") and family not in("Noto Sans","Noto Serif","Noto Sans Display","Noto Mono","Noto Sans Mono"): continue
    try: w=float(w); wd=float(wd or 100)
    except ValueError: continue
    key=family+("" if wd>=95 else f" w{int(wd)}")
    kind=("bold" if w>=180 else "regular" if w<=110 else "semi")+("_italic" if sl not in("0","") else "")
    if w<70: continue
    d=fam.setdefault(key,{})
    d.setdefault(kind,f)
    if w>=205: d.setdefault("black",f)
out={}; total=0
os.makedirs("./fonts",exist_ok=True)
for k,d in sorted(fam.items()):
    if "regular" not in d and "semi" not in d: continue
    e={}
    for kind in("regular","semi","bold","black","regular_italic"):
        if kind in d:
            n=os.path.basename(d[kind]); p="./fonts/"+n
            if not os.path.exists(p): shutil.copy(d[kind],p)
            e[kind]=n
    out[k]=e
json.dump(out,open("./fonts.json","w"),indent=1)
print(len(out),sorted(out))
