"""Sentences in the reader's language, from ``data/words/<language>.json``; the page reads the same files.

A key such as ``"doubt.percent"`` names a sentence with parts in braces. A sentence with two forms,
``{"one": ..., "other": ...}``, is chosen by the part named ``count``.
"""

from __future__ import annotations

from functools import cache

from shelfcheck import data

LANGUAGES = ("en", "es")
DEFAULT = "en"


def say(key: str, lang: str = DEFAULT, **parts: object) -> str:
    """Return the sentence ``key`` in ``lang`` with ``parts`` filled in; an unknown language is English."""
    entry = words(lang)[key]
    if isinstance(entry, dict):
        count = parts.get("count")
        entry = entry["one" if isinstance(count, (int, float)) and 0 < count <= 1 else "other"]
    return entry.format_map(parts) if parts else entry


@cache
def nutrient_name(nutrient_id: str, lang: str = DEFAULT) -> str:
    """Return a nutrient's name, as it stands inside a sentence."""
    return say(f"nutrient.{nutrient_id}", lang)


@cache
def words(lang: str) -> dict[str, str | dict[str, str]]:
    """Return every sentence of a language by its key."""
    found: dict[str, str | dict[str, str]] = data.load(f"words/{lang if lang in LANGUAGES else DEFAULT}.json")
    return found
