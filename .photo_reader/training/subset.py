import sys,os,glob
sys.path.insert(0,".")
from charset import CHARS
from fontTools import subset
from fontTools.ttLib import TTFont
for f in sorted(glob.glob("./fonts/*")):
    try:
        o=subset.Options(); o.layout_features=["kern","liga"]; o.hinting=False; o.notdef_outline=True; o.name_IDs=[1,2]; o.drop_tables+=["DSIG"]
        font=subset.load_font(f,o); s=subset.Subsetter(o); s.populate(text=CHARS); s.subset(font); subset.save_font(font,f,o)
    except Exception as e: print(os.path.basename(f),e); 
