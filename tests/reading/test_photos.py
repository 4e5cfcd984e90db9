"""Ten photographs, by hand, of cans, in glare: ``tests/bench/photos`` takes and judges many more of them."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

import pytest

from shelfcheck.panel_json import panel_to_json
from shelfcheck.reading import read_panel
from tests.bench.photos.score import Outcome, score

PHOTOS = sorted((Path(__file__).parent / "photos").glob("*.jpg"))
FEWEST_EXACT = 0.97
FEWEST_OF_ONE = 0.75


def outcomes(photo: Path) -> dict[str, Outcome]:
    truth = json.loads(photo.with_suffix(".json").read_text(encoding="utf-8"))
    return score(panel_to_json(read_panel(photo.read_bytes()).panel), truth)


@pytest.fixture(scope="module")
def every() -> dict[str, dict[str, Outcome]]:
    return {photo.stem: outcomes(photo) for photo in PHOTOS}


def share(counts: Counter[Outcome]) -> float:
    return counts["exact"] / (sum(counts.values()) - counts["absent"])


def test_there_are_photographs_of_every_tier() -> None:
    assert {photo.stem.partition("_")[0] for photo in PHOTOS} == {"flat", "hand", "curved", "hard"}


def test_nearly_every_field_is_exact(every: dict[str, dict[str, Outcome]]) -> None:
    counts = Counter(outcome for found in every.values() for outcome in found.values())

    assert share(counts) >= FEWEST_EXACT
    assert all(share(Counter(found.values())) >= FEWEST_OF_ONE for found in every.values())


def test_nothing_is_wrong_in_silence(every: dict[str, dict[str, Outcome]]) -> None:
    silent = {
        (name, field)
        for name, found in every.items()
        for field, outcome in found.items()
        if outcome == "silent"
    }

    assert silent == set()
