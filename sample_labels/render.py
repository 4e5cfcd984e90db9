"""Print Nutrition Facts panels as pictures: ``python -m sample_labels.render [NAME ...]``.

Each NAME is a sample's name or the path of its JSON file; all samples when none is given. The picture goes
beside the JSON file. ``--check`` prints nothing and tells instead whether the samples obey the label rules.
"""

from __future__ import annotations

import argparse
import io
import json
import sys
from collections.abc import Callable, Iterable, Iterator
from html import escape
from pathlib import Path
from typing import Any

from PIL import Image
from playwright.sync_api import sync_playwright

from sample_labels import layouts, small_layouts
from sample_labels.lawful import faults

HERE = Path(__file__).parent
CHROMIUM = "/usr/bin/chromium"
# Without a sandbox (it needs rights that containers lack), and with letters placed alike on every machine.
CHROMIUM_ARGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--font-render-hinting=none",
    "--disable-lcd-text",
]
CSS_PX_PER_PT = 96 / 72
DEVICE_SCALE = 2

PX_PER_PT = 5.0
"""The usual size of a printer's point in the picture: 8-point text then has an x-height of 21 pixels."""

Layout = Callable[[dict[str, Any], dict[str, Any]], str]

LAYOUTS: dict[str, Layout] = {
    "standard": layouts.standard,
    "side_by_side": layouts.side_by_side,
    "simplified": layouts.simplified,
    "dual_column": layouts.double,
    "as_prepared": layouts.double,
    "bilingual": layouts.bilingual,
    "spanish_only": layouts.spanish_only,
    "tabular": small_layouts.tabular,
    "linear": small_layouts.linear,
    "form_1993": small_layouts.form_1993,
}

PANEL_WIDTHS = {
    "side_by_side": 272,
    "tabular": 350,
    "linear": 205,
    "dual_column": 226,
    "as_prepared": 226,
    "bilingual": 210,
}
"""Panel widths in points at which no line breaks in the usual fonts; others take ``USUAL_WIDTH``."""
USUAL_WIDTH = 165

# The title shall be as wide as the panel where that fits (101.9(d)(2)), whatever the font.
FIT_TITLES = """
for (const title of document.querySelectorAll('.title-box .title')) {
  const wanted = title.parentElement.getBoundingClientRect().width / title.getBoundingClientRect().width;
  title.style.fontSize = parseFloat(getComputedStyle(title).fontSize) * wanted + 'px';
}
"""

PAGE = """<!doctype html><html lang="en"><meta charset="utf-8"><title>Label</title>
<style>{css}
:root {{ {settings} }}</style>
<body><main id="page">{body}</main><script>{script}</script></body></html>"""


def render_html(panel: dict[str, Any], layout: str, style: dict[str, Any]) -> str:
    """Return the page that shows ``panel`` in one of ``LAYOUTS``.

    With a "pack" in the panel the whole back of the pack is drawn, without one the panel alone with a margin.
    The README lists what ``style`` may hold. Raises KeyError for a layout that does not exist.
    """
    section = LAYOUTS[layout](panel, style)
    body = _pack(panel["pack"], section, style) if panel.get("pack") else f'<div class="bare">{section}</div>'
    margins = 20 if panel.get("pack") else 12
    panel_width = style.get("panel_width", PANEL_WIDTHS.get(layout, USUAL_WIDTH))
    settings = {
        "--font": f'"{style.get("font", "Liberation Sans")}"',
        "--ink": style.get("ink", "#000"),
        "--paper": style.get("paper", "#fff"),
        "--pack": style.get("pack", "#fff"),
        "--pack-ink": style.get("pack_ink", "#111"),
        "--band": style.get("band", "transparent"),
        "--band-ink": style.get("band_ink", "inherit"),
        "--pack-font": f'"{style.get("pack_font", "Liberation Sans")}"',
        "--name-font": f'"{style.get("name_font", "URW Bookman")}"',
        "--panel-width": f"{panel_width}pt",
        "--width": f"{style.get('width', panel_width + margins)}pt",
        "zoom": f"{style.get('px_per_pt', PX_PER_PT) / CSS_PX_PER_PT / DEVICE_SCALE:.4f}",
    }
    return PAGE.format(
        css=(HERE / "data" / "label.css").read_text(encoding="utf-8"),
        settings="; ".join(f"{name}: {value}" for name, value in settings.items()),
        body=body,
        script=FIT_TITLES,
    )


def _pack(pack: dict[str, Any], section: str, style: dict[str, Any]) -> str:
    """Return the back of a pack: name on a band of colour, the panel, and the words below or beside it."""
    side = "with-side" if style.get("arrangement") == "side" else ""
    contains = f"<p><b>{escape(pack['contains'])}</b></p>" if pack.get("contains") else ""
    notes = "".join(f"<p>{escape(text)}</p>" for text in pack.get("notes", []))
    return (
        f'<div class="pack {side}"><div class="band"><div class="maker">{escape(pack["maker"])}</div>'
        f'<h1>{escape(pack["product"])}</h1><div class="line">{escape(pack["line"])}</div></div>'
        f'<div class="body">{section}<div class="words">'
        f"<p><b>{escape(pack['ingredients_word'])}:</b> {escape(pack['ingredients'])}</p>"
        f'{contains}{notes}<p class="net">{escape(pack["net"])}</p></div></div></div>'
    )


def shoot(html_list: Iterable[str]) -> Iterator[bytes]:
    """Yield the PNG bytes of each page, through one headless Chromium for all of them."""
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=CHROMIUM_ARGS)
        page = browser.new_page(viewport={"width": 1000, "height": 1200}, device_scale_factor=DEVICE_SCALE)
        for html in html_list:
            page.set_content(html)
            yield page.locator("#page").screenshot(animations="disabled")
        browser.close()


def small_png(png: bytes, colours: int = 64) -> bytes:
    """Return the picture with a palette, which flat print does not suffer from, at a third of the size."""
    with Image.open(io.BytesIO(png)) as picture:
        reduced = picture.convert("RGB").quantize(colours, dither=Image.Dither.NONE)
    out = io.BytesIO()
    reduced.save(out, "PNG", optimize=True)
    return out.getvalue()


def samples(names: Iterable[str] = ()) -> list[Path]:
    """Return the JSON files of the named samples, or of all; raises FileNotFoundError for an unknown one."""
    every = sorted(HERE.glob("*.json"))
    chosen = [Path(name) if name.endswith(".json") else HERE / f"{name}.json" for name in names]
    for path in chosen:
        if not path.is_file():
            known = ", ".join(sample.stem for sample in every)
            raise FileNotFoundError(f"There is no sample {path.stem}. Choose from: {known}.")
    return chosen or every


def load(path: Path) -> dict[str, Any]:
    """Return the sample in a JSON file."""
    sample: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return sample


def check(paths: Iterable[Path]) -> int:
    """Print what is wrong with each sample, and return how many are at fault."""
    wrong = 0
    for path in paths:
        found = faults(load(path))
        wrong += bool(found)
        print(f"{path.stem}: {'; '.join(found) or 'lawful'}")
    return wrong


def render(paths: list[Path]) -> None:
    """Print the picture of each sample beside its JSON file."""
    pages = (render_html(sample, sample["layout"], sample["style"]) for sample in map(load, paths))
    for path, png in zip(paths, shoot(pages), strict=True):
        picture = path.with_suffix(".png")
        picture.write_bytes(small_png(png))
        print(f"{picture.name}: {picture.stat().st_size // 1000} kB")


def main(argv: list[str] | None = None) -> int:
    """Run the command and return its exit status: 1 when a sample is at fault, 2 for an unknown name."""
    parser = argparse.ArgumentParser(
        prog="python -m sample_labels.render",
        description="Print the sample labels as pictures, or check them against the label rules.",
    )
    parser.add_argument("names", nargs="*", metavar="NAME", help="a sample or its JSON file; all by default")
    parser.add_argument("--check", action="store_true", help="only tell whether the samples are lawful")
    options = parser.parse_args(argv)
    try:
        chosen = samples(options.names)
    except FileNotFoundError as missing:
        print(missing, file=sys.stderr)
        return 2
    if options.check:
        return 1 if check(chosen) else 0
    render(chosen)
    return 0


if __name__ == "__main__":
    sys.exit(main())
