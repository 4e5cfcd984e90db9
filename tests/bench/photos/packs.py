"""Whole packs as flat artwork: a panel and what stands around it, as one HTML page in printer's points.

A pack's body is the "face" of a carton, a "pouch" with crimped ends, a "can" with rims or a "bottle".
"""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import Any

from sample_labels.markup import div
from sample_labels.render import FIT_TITLES, HERE
from tests.bench.photos import clutter
from tests.bench.photos.more_layouts import Panel, Style
from tests.bench.photos.panels import DATA, INKS, invent, markup, typeset

PAGE = """<!doctype html><html lang="en"><meta charset="utf-8"><style>{css}
:root {{ {settings} }}</style><body><main id="page">{body}</main><script>{script}</script></body></html>"""

_SHRINK_TITLES = """
for (const title of document.querySelectorAll('.panel .title')) {
  const room = title.parentElement.clientWidth / title.getBoundingClientRect().width;
  if (room < 1) title.style.fontSize = parseFloat(getComputedStyle(title).fontSize) * room * 0.99 + 'px';
}
"""
# Nobody reads what a sticker hides, so one that would lie on the panel is left off. The block keeps its names
# apart from those of the page before, which a browser still knows.
_CLEAR_PANEL = """{
  const box = element => element.getBoundingClientRect();
  const panel = document.querySelector('.panel');
  const meet = (a, b) => a.left < b.right && a.right > b.left && a.top < b.bottom && a.bottom > b.top;
  for (const sticker of document.querySelectorAll('.sticker'))
    if (panel && meet(box(sticker), box(panel))) sticker.remove();
}"""


@dataclass(frozen=True, slots=True)
class Design:
    """A pack ready to be printed: its page and what its panel truly says, empty for a pack without one."""

    html: str
    panel: Panel
    body: str


def design(seed: int, layout: str, body: str = "face") -> Design:
    """Return the pack of a seed; raises KeyError for an unknown layout."""
    rng = Random(f"pack {seed} {layout}")
    panel = invent(rng, layout)
    style = typeset(rng, layout)
    colours = clutter.colours(rng, style)
    section = f'<div class="{style["title"]} {style["size"]}">{markup(panel, style)}</div>'
    front = _front(rng, panel, style, section, body)
    return Design(page(front, {**style, **colours}, rng), panel, body)


def page(body: str, style: Style, rng: Random) -> str:
    """Return the HTML page of a body with its type and colours."""
    css = "".join(path.read_text(encoding="utf-8") for path in (HERE / "data/label.css", DATA / "photo.css"))
    script = (FIT_TITLES if style.get("title") == "fitted" else _SHRINK_TITLES) + _CLEAR_PANEL
    settings = "; ".join(f"{name}: {value}" for name, value in _settings(style, rng).items())
    return PAGE.format(css=css, settings=settings, body=body, script=script)


def _settings(style: Style, rng: Random) -> dict[str, Any]:
    """Return the page's variables."""
    kraft = "#c19a6b"
    pack = kraft if style.get("paper") == "kraft" else style["pack"]
    paper = {"inherit": pack, "kraft": kraft, "pack_dark": pack}.get(
        style.get("paper", "#fff"), style.get("paper")
    )
    accent_ink = (
        style["accent"] if clutter.luminance(style["accent"]) < 0.3 < clutter.luminance(pack) else "inherit"
    )
    named = ("ink", "tracking", "air", "rule", "bar", "border", "corner", "pad", "bold", "calories")
    values = {f"--{name}": style[name] for name in named if name in style}
    return values | {
        "--font": f'"{style.get("font", "Liberation Sans")}"',
        "--title-font": f'"{style.get("title_font", "Liberation Sans")}"',
        "--name-font": f'"{rng.choice(INKS["name_fonts"])}"',
        "--name-size": f"{rng.randint(17, 34)}pt",
        "--pack-font": f'"{pack_font(rng)}"',
        "--paper": paper,
        "--pack": pack,
        "--pack-ink": "#2d1c0d" if pack == kraft else style["pack_ink"],
        "--band": style["band"],
        "--accent": style["accent"],
        "--accent-ink": accent_ink,
        "--glass": rng.choice(("#6b3d12", "#2f4a2a", "#d8d4c8", "#f3f0e6", "#8c2f1c")),
        "--edge": f"{rng.randint(6, 16)}pt",
        "--panel-width": f"{style.get('panel_width', 165)}pt",
    }


def pack_font(rng: Random) -> str:
    """Return the type of a pack's small print."""
    return str(rng.choice(INKS["fonts"])["font"])


def _front(rng: Random, panel: Panel, style: Style, section: str, body: str) -> str:
    """Return the pack's face: the panel in a column or beside one, or between two on a body that is round."""
    kind = panel["name"].removeprefix("random_")
    width = style["panel_width"]
    wide = width > 240
    blocks = clutter.choose(rng, panel, rng.randint(3, 6))
    if body in ("can", "bottle"):
        half = len(blocks) // 2
        left, right = _column(rng, blocks[:half], rng.randint(90, 130)), _column(rng, blocks[half:], 110)
        photo = clutter.picture(rng, 120, rng.randint(120, 200))
        front = div("col", clutter.band(rng, kind), photo)
        parts = (
            [left, div("col", section), right, front]
            if rng.random() < 0.7
            else [front, left, div("col", section), right]
        )
        inside = div("face", *parts)
    elif wide or rng.random() < 0.45:
        under = _column(rng, blocks, max(width, 170))
        upper = clutter.band(rng, kind) if rng.random() < 0.6 else ""
        inside = upper + div("face fold", *((section, under) if rng.random() < 0.6 else (under, section)))
    else:
        beside = _column(rng, blocks, rng.randint(110, 190))
        both = (div("col", section), beside) if rng.random() < 0.55 else (beside, div("col", section))
        top = clutter.band(rng, kind) + (clutter.picture(rng, width + 160, 90) if rng.random() < 0.35 else "")
        inside = (top if rng.random() < 0.7 else "") + div("face", *both)
    if rng.random() < 0.2:
        inside += clutter.sticker(rng, rng.uniform(0, width + 60), rng.choice((2, 10, 60, 150, 260)))
    return _ends(body, inside)


def _ends(body: str, inside: str) -> str:
    """Return the face between the ends of its body: rims, glass or crimps."""
    end = {"can": "rim", "bottle": "glass", "pouch": "crimp"}.get(body)
    return f'<div class="{end}"></div>{inside}<div class="{end}"></div>' if end else inside


def _column(rng: Random, blocks: list[str], width: float) -> str:
    if rng.random() < 0.3:
        blocks = [*blocks, clutter.picture(rng, width, rng.randint(50, 110))]
    return f'<div class="col" style="width:{width}pt">{"".join(blocks)}</div>'
