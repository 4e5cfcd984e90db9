"""``read_panel``: the rooms of reading in their order."""

from __future__ import annotations

from dataclasses import dataclass

from shelfcheck.errors import NotAPanelError
from shelfcheck.panel import CORE, Panel
from shelfcheck.reading.candidates import Fields, find_fields
from shelfcheck.reading.engines import engine_for
from shelfcheck.reading.fitness import Cause, why_no_panel, with_photo_doubt
from shelfcheck.reading.leaf import Engine, Leaf
from shelfcheck.reading.photo import MOST_PIXELS, Picture, decode
from shelfcheck.reading.reconcile import reconcile
from shelfcheck.reading.rows import Page, find_lines
from shelfcheck.reading.servings import ServingFields, find_serving
from shelfcheck.rules import nutrients
from shelfcheck.words import DEFAULT, say

_NEEDED = 3 + len(CORE)
_FEWEST_NAMES = 3
_HEADS = {"title", "serving_size", "servings"}
"""A picture with fewer nutrients' names than this, or without one amount, shows no panel; nor does one with
neither a heading of a panel nor a sure amount, such as a list of ingredients with vitamins. Judgement."""
_SMALLEST = 24
"""A picture less high or wide than this, in pixels, holds no three lines of print. Judgement."""


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
        NotAPanelError: when no panel is found on it; the sentence says what to do about the likely cause.
        ReaderMissingError: when the engine is not installed.
        ReaderFailedError: when the engine fails or takes too long.
    """
    picture = decode(photo, most_pixels=most_pixels, lang=lang)
    if min(picture.gray.shape) < _SMALLEST:
        return understand(picture, Leaf(), lang)
    return read_picture(picture, engine or engine_for(lang), lang)


def read_picture(picture: Picture, engine: Engine, lang: str = DEFAULT) -> Reading:
    """Read the panel on a picture, in wider looks where the first leaves something open.

    Raises:
        NotAPanelError: when no panel is found on it.
    """
    best = _tried(picture, engine.read(picture), lang)
    if _proven(best) < _NEEDED:
        for leaf in engine.read_wider(picture):
            best = max(best, _tried(picture, leaf, lang), key=_proven)
            if _proven(best) == _NEEDED:
                break
    return _read(best)


def _tried(picture: Picture, leaf: Leaf, lang: str) -> Reading | NotAPanelError:
    try:
        return understand(picture, leaf, lang)
    except NotAPanelError as error:
        return error


def _read(tried: Reading | NotAPanelError) -> Reading:
    if isinstance(tried, NotAPanelError):
        raise tried
    return tried


def _proven(tried: Reading | NotAPanelError) -> int:
    """Return how many of the fields that every panel has are sure; less than none where there is no panel."""
    if isinstance(tried, NotAPanelError):
        return -2 if tried.reason == "no_panel" else -1
    serving, declared = tried.panel.serving, tried.panel.nutrients
    stated = (serving.household_amount, serving.metric_amount, serving.servings_per_container)
    states = [number.state for number in stated] + [declared[key].state for key in CORE if key in declared]
    return states.count("sure")


def understand(picture: Picture, leaf: Leaf, lang: str = DEFAULT) -> Reading:
    """Return the panel that the words on a picture make.

    Raises:
        NotAPanelError: when they make none.
    """
    page = find_lines(leaf.words)
    fields, serving = find_fields(page), find_serving(page)
    panel, ids = reconcile(fields, serving), {line.id for line in page.lines}
    named = len(ids & set(nutrients())) >= _FEWEST_NAMES
    amounts = any(field.values or field.percents for field in fields.own.values())
    sure = any(declared.state == "sure" for declared in panel.nutrients.values())
    if not (named and amounts and (sure or ids & _HEADS)):
        raise _no_panel(why_no_panel(picture, leaf, page), lang)
    panel = with_photo_doubt(panel, picture, leaf, page)
    return Reading(_on_photo(panel, picture, leaf), picture, leaf, page, fields, serving)


def _no_panel(cause: Cause, lang: str) -> NotAPanelError:
    """Return the error with the sentence that fits the cause."""
    if cause == "no_panel":
        return NotAPanelError(say("error.no_panel", lang))
    advice = say(f"doubt.photo_{cause}", lang)
    return NotAPanelError(say("error.no_panel_because", lang, advice=advice), reason=cause)


def _on_photo(panel: Panel, picture: Picture, leaf: Leaf) -> Panel:
    """Return the panel with its doubts' boxes on the upright original."""
    doubts = tuple(
        doubt._replace(box=picture.to_original(leaf.on_picture(doubt.box))) if doubt.box else doubt
        for doubt in panel.doubts
    )
    return panel._replace(doubts=doubts)
