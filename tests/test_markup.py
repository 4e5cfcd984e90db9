"""What people type never becomes markup, script, style or an address: no module could make it so."""

from __future__ import annotations

import re

import pytest

from tests.making import ROOT

MODULES = ROOT / "web" / "modules"
SINKS = re.compile(
    r"\b(innerHTML|outerHTML|insertAdjacentHTML|document\.write(ln)?|createContextualFragment|parseFromString"
    r"|parseHTML(Unsafe)?|setHTML(Unsafe)?|srcdoc|DOMParser|XSLTProcessor)\b"
    r"|javascript:|\beval\(|\bnew Function\b|\bset(Timeout|Interval)\(\s*[\"'`]"
    r"|\bcssText\b|\bstyle: |\"style\"|\.style = |\bon[a-z]+: [\"'`]|setAttribute\(\s*[\"'`]on"
)
"""What makes markup, script or a style attribute of a text."""
ADDRESS = re.compile(r"(?<!location\.)\bhref\b")
WITHIN_THE_PAGE = re.compile(r'href: [`"]#|\.href = `#|"href", (\w+ && )?`#')
MAY_ADDRESS = {
    "page/rooms.js": "the style sheet of a room, by the name that the module asks for",
    "page/save_file.js": "the file that is saved, as a blob of this page",
    "places/foot.js": "its callers' literals, which are looked at below",
    "places/hands.js": "the address of a step",
    "tour/start.js": "addresses that begin with #, built from codes and tokens",
}


def lines_with(pattern: re.Pattern[str], unless: re.Pattern[str] | None = None) -> dict[str, list[str]]:
    """Return the lines of the page's modules that match, by module."""
    found: dict[str, list[str]] = {}
    for path in sorted(MODULES.rglob("*.js")):
        for line in path.read_text(encoding="utf-8").splitlines():
            code = line.strip()
            if pattern.search(code) and not (unless and unless.search(code)) and not code.startswith("*"):
                found.setdefault(path.relative_to(MODULES).as_posix(), []).append(code)
    return found


def test_no_module_makes_markup_or_script_of_a_text() -> None:
    assert lines_with(SINKS) == {}


def test_every_address_stays_within_the_page() -> None:
    assert lines_with(ADDRESS, unless=WITHIN_THE_PAGE).keys() == MAY_ADDRESS.keys()
    for path in MODULES.rglob("*.js"):
        text = path.read_text(encoding="utf-8")
        assert all(given.startswith('"#/') for given in re.findall(r"(?<!function )\bwayTo\(([^,]+),", text))


@pytest.mark.parametrize(
    "line",
    [
        "element.innerHTML = name;",
        'element.insertAdjacentHTML("beforeend", name);',
        'el("iframe", { srcdoc: name })',
        'el("p", { style: name })',
        'el("p", { onclick: "act()" })',
        "element.setAttribute('onclick', name)",
        "element.style = name;",
        "element.style.cssText = name;",
        'el("a", { href: `javascript:${name}` })',
        'setTimeout("act()", 5)',
        "document.writeln(name)",
    ],
)
def test_each_way_to_do_so_would_be_found(line: str) -> None:
    assert SINKS.search(line)


@pytest.mark.parametrize("line", ['el("a", { href: name })', 'el("a", { href, text })', "link.href = name;"])
def test_an_address_made_of_a_text_would_be_found(line: str) -> None:
    assert ADDRESS.search(line)
    assert not WITHIN_THE_PAGE.search(line)


def test_the_page_itself_has_no_script_or_style_of_its_own() -> None:
    page = (ROOT / "web" / "index.html").read_text(encoding="utf-8")

    assert not re.search(r"<style|\bstyle=|\bon\w+=|<script(?![^>]*\bsrc=)", page)
