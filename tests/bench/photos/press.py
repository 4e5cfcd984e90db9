"""The press: prints a pack's page through one headless Chromium and tells where each field stands.

All lengths on the pack are printer's points from its top left corner.
"""

from __future__ import annotations

import base64
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from playwright.sync_api import CDPSession, Page, sync_playwright

from sample_labels.render import CHROMIUM, CHROMIUM_ARGS, CSS_PX_PER_PT

Image = NDArray[np.uint8]
Box = tuple[float, float, float, float]
"""Left, top, right and bottom."""

_MEASURE = """() => {
  const pen = document.createElement('canvas').getContext('2d');
  const small = element => {
    const style = getComputedStyle(element);
    pen.font = `${style.fontWeight} 100px ${style.fontFamily}`;
    return parseFloat(style.fontSize) * pen.measureText('x').actualBoundingBoxAscent / 100;
  };
  const box = rect => [rect.left, rect.top, rect.right, rect.bottom];
  const page = document.querySelector('#page'), panel = document.querySelector('.panel');
  const out = {page: box(page.getBoundingClientRect()), panel: null, fields: {}, finest: null};
  if (!panel) return out;
  out.panel = box(panel.getBoundingClientRect());
  const starts = {}, walk = document.createTreeWalker(panel, NodeFilter.SHOW_COMMENT | NodeFilter.SHOW_TEXT);
  const sizes = [];
  while (walk.nextNode()) {
    const node = walk.currentNode;
    if (node.nodeType === Node.TEXT_NODE) {
      const raised = ['SUP', 'SUB'].includes(node.parentElement.tagName);
      if (node.data.trim() && !raised) sizes.push(small(node.parentElement));
      continue;
    }
    const [edge, field] = node.data.split(' ');
    if (edge === 'from') { starts[field] ??= node; continue; }
    if (edge !== 'to' || out.fields[field]) continue;
    const range = document.createRange();
    range.setStartAfter(starts[field]); range.setEndBefore(node);
    const rects = [...range.getClientRects()].filter(rect => rect.width);
    if (!rects.length) continue;
    out.fields[field] = {
      box: [Math.min(...rects.map(r => r.left)), Math.min(...rects.map(r => r.top)),
            Math.max(...rects.map(r => r.right)), Math.max(...rects.map(r => r.bottom))],
      x: small(node.parentElement)};
  }
  out.finest = Math.min(...sizes);
  return out;
}"""


@dataclass(frozen=True, slots=True)
class Sheet:
    """Where things stand on a pack; ``x_heights`` are of each field's print, ``finest`` of the smallest."""

    page: Box
    panel: Box | None
    fields: dict[str, Box]
    x_heights: dict[str, float]
    finest: float


class Press:
    """Lays out one page at a time and prints parts of it at any scale."""

    def __init__(self, page: Page) -> None:
        self._page = page
        self._session: CDPSession = page.context.new_cdp_session(page)

    def lay_out(self, html: str) -> Sheet:
        """Load a pack's page and measure it."""
        self._page.set_content(html)
        raw: dict[str, Any] = self._page.evaluate(_MEASURE)

        def points(box: list[float]) -> Box:
            left, top, right, bottom = (value / CSS_PX_PER_PT for value in box)
            return left, top, right, bottom

        fields = raw["fields"]
        return Sheet(
            points(raw["page"]),
            points(raw["panel"]) if raw["panel"] else None,
            {name: points(field["box"]) for name, field in fields.items()},
            {name: field["x"] / CSS_PX_PER_PT for name, field in fields.items()},
            (raw["finest"] or 0) / CSS_PX_PER_PT,
        )

    def ink(self, part: Box, scale: float) -> Image:
        """Print a part of the page in ``scale`` pixels a point, as rows by columns by blue, green and red."""
        left, top, right, bottom = (value * CSS_PX_PER_PT for value in part)
        clip = {
            "x": left,
            "y": top,
            "width": right - left,
            "height": bottom - top,
            "scale": scale / CSS_PX_PER_PT,
        }
        shot = self._session.send(
            "Page.captureScreenshot",
            {
                "format": "jpeg",
                "quality": 96,
                "clip": clip,
                "captureBeyondViewport": True,
                "optimizeForSpeed": True,
            },
        )
        decoded = cv2.imdecode(np.frombuffer(base64.b64decode(shot["data"]), np.uint8), cv2.IMREAD_COLOR)
        if decoded is None:
            raise RuntimeError("Chromium printed no picture; make a smaller set and try again.")
        return decoded.astype(np.uint8, copy=False)


@contextmanager
def press() -> Iterator[Press]:
    """Start the browser for as many packs as are wanted."""
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=CHROMIUM_ARGS)
        yield Press(browser.new_page(viewport={"width": 1400, "height": 1400}))
        browser.close()
