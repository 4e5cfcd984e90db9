"""``read_panel``: the rooms of reading in their order."""

from __future__ import annotations

from dataclasses import dataclass

from shelfcheck.errors import NotAPanelError
from shelfcheck.panel import Panel
from shelfcheck.reading.candidates import Fields, find_fields
from shelfcheck.reading.engines import engine_for
from shelfcheck.reading.leaf import Engine, Leaf
from shelfcheck.reading.photo import MOST_PIXELS, Picture, decode
from shelfcheck.reading.reconcile import reconcile
from shelfcheck.reading.rows import Page, find_lines
from shelfcheck.reading.servings import ServingFields, find_serving
from shelfcheck.rules import nutrients
from shelfcheck.words import DEFAULT, say

_FEWEST_NAMES = 3
"""A picture with fewer nutrients' names than this shows no panel. Judgement."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A panel that was read, with what each room handed to the next."""

    panel: Panel
    picture: Picture
    leaf: Leaf
    page: Page
    fields: Fields
    serving: ServingFields


def read_panel(
    photo: bytes, *, engine: Engine | None = None, most_pixels: int = MOST_PIXELS, lang: str = DEFAULT
) -> Reading:
    """Read the Nutrition Facts panel on a photo (JPEG, PNG or WebP).

    Raises:
        PhotoError: when the bytes are no such picture; PhotoTooLargeError when it has over ``most_pixels``.
        NotAPanelError: when no panel is found on it.
        ReaderMissingError: when the engine is not installed.
        ReaderFailedError: when the engine fails or takes too long.
    """
    picture = decode(photo, most_pixels=most_pixels, lang=lang)
    leaf = (engine or engine_for(lang)).read(picture)
    page = find_lines(leaf.words)
    if len({line.id for line in page.lines if line.id in nutrients()}) < _FEWEST_NAMES:
        raise NotAPanelError(say("error.no_panel", lang))
    fields, serving = find_fields(page), find_serving(page)
    panel = _on_photo(reconcile(fields, serving), picture, leaf)
    return Reading(panel, picture, leaf, page, fields, serving)


def _on_photo(panel: Panel, picture: Picture, leaf: Leaf) -> Panel:
    """Return the panel with its doubts' boxes on the upright original."""
    doubts = tuple(
        doubt._replace(box=picture.to_original(leaf.on_picture(doubt.box))) if doubt.box else doubt
        for doubt in panel.doubts
    )
    return panel._replace(doubts=doubts)
