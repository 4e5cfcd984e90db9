"""The app's icons and screenshots, made of ``web/icon.svg`` and the running app.

Those of the manifest go into ``web/icons/``, the README's pictures into ``.pictures/``.

Run it as ``python -m tests.browser.icons``.
"""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

from tests.browser.driving import DESK, PHONE, Shopper, new_context, open_chromium, running_service
from tests.browser.screens import SCREENS
from tests.making import ROOT

WEB = ROOT / "web"
ICONS = WEB / "icons"
PICTURES = ROOT / ".pictures"
PICTURED = (("doubts", "en", "light"), ("numbers", "en", "light"), ("compare_full", "es", "dark"))
"""Screens for the README: what they are, in which language and scheme."""
SAFE = 0.86
"""The drawing's share of a maskable icon: it lies within the safe circle of 80 % (W3C manifest)."""
TOUCH = 0.94
"""The same where a phone only rounds the corners. Judgement."""

FULL_JS = """([size, share]) => {
  const svg = document.querySelector("svg");
  svg.setAttribute("width", size);
  svg.setAttribute("height", size);
  if (!share) return;
  const [ground, ...drawing] = svg.querySelectorAll("rect, path");
  ground.setAttribute("rx", 0);
  const group = document.createElementNS(svg.namespaceURI, "g");
  group.setAttribute("transform", `translate(32 32) scale(${share}) translate(-32 -33.75)`);
  group.append(...drawing);
  svg.append(group);
}"""
"""Gives the picture its size; with a share, the ground fills the square, the drawing in its middle."""


def main() -> None:
    ICONS.mkdir(exist_ok=True)
    with sync_playwright() as playwright:
        browser = open_chromium(playwright)
        for name, size, share in (
            ("icon-192", 192, None),
            ("icon-512", 512, None),
            ("maskable-512", 512, SAFE),
            ("apple-touch-180", 180, TOUCH),
        ):
            draw(browser, ICONS / f"{name}.png", size, share)
        with running_service() as address:
            shoot(browser, address, ICONS / "screen-narrow.png", PHONE, 2)
            shoot(browser, address, ICONS / "screen-wide.png", DESK, 1)
            PICTURES.mkdir(exist_ok=True)
            for name, lang, scheme in PICTURED:
                picture(browser, address, name, lang, scheme)
        browser.close()


def draw(browser: Browser, path: Path, size: int, share: float | None) -> None:
    """Draw the icon as a PNG of ``size`` pixels, on a ground of its own or filling the square."""
    page = browser.new_page(viewport={"width": size, "height": size})
    icon = (WEB / "icon.svg").read_text(encoding="utf-8")
    page.set_content(f"<style>body {{ margin: 0 }} svg {{ display: block }}</style>{icon}")
    page.evaluate(FULL_JS, [size, share])
    page.screenshot(path=path, omit_background=True)
    page.close()


def picture(browser: Browser, address: str, name: str, lang: str, scheme: str) -> None:
    """Take a picture of a screen on a phone."""
    how = {"color_scheme": scheme, "device_scale_factor": 2, "reduced_motion": "reduce"}
    context = new_context(browser, PHONE, lang, **how)
    shopper = Shopper(context.new_page(), address)
    SCREENS[name](shopper)
    shopper.page.evaluate("document.activeElement.blur()")
    if name == "numbers":
        shopper.page.evaluate("document.querySelector('#numbers-title').scrollIntoView()")
    shopper.page.wait_for_timeout(500)
    shopper.page.screenshot(path=PICTURES / f"{name}.png")
    context.close()


def shoot(browser: Browser, address: str, path: Path, size: tuple[int, int], scale: int) -> None:
    """Take a picture of the real numbers of the sample label, typed."""
    context = new_context(browser, size, device_scale_factor=scale, reduced_motion="reduce")
    shopper = Shopper(context.new_page(), address).type_granola()
    shopper.press("plus", 2)
    shown = "#numbers-title" if size == PHONE else ".head"
    shopper.page.evaluate("document.activeElement.blur()")
    shopper.page.evaluate(f"document.querySelector('{shown}').scrollIntoView()")
    shopper.page.wait_for_timeout(500)
    shopper.page.screenshot(path=path)
    context.close()


if __name__ == "__main__":
    main()
