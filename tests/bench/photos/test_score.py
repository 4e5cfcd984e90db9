from copy import deepcopy
from typing import Any

import pytest

from tests.bench.photos.score import FIELDS, core_right, score, tally

PANEL: dict[str, Any] = {
    "serving": {
        "household_amount": {"value": 0.667, "state": "sure"},
        "household_unit": {"value": "cup", "state": "sure"},
        "metric_amount": {"value": 55, "state": "sure"},
        "metric_unit": {"value": "g", "state": "sure"},
        "servings_per_container": {"value": 8, "state": "sure"},
    },
    "nutrients": {
        "energy": {"value": 230, "less_than": False},
        "fat": {"value": 8},
        "sodium": {"value": 160},
        "carbohydrate": {"value": 37},
        "fiber": {"value": 1, "less_than": True},
        "calcium": {"value": None, "percent_dv": 10},
    },
}
TRUTH: dict[str, Any] = {"panel": PANEL, "fields": {}}


def changed(part: str, key: str, **entry: object) -> dict[str, Any]:
    panel = deepcopy(PANEL)
    panel[part][key] = {**panel[part].get(key, {}), **entry}
    return panel


def test_the_truth_itself_is_exact_wherever_something_is_printed() -> None:
    outcomes = score(PANEL, TRUTH)

    assert tally([outcomes]) == {"exact": 8, "absent": len(FIELDS) - 8}
    assert core_right(outcomes)


def test_nothing_read_is_missing_only_where_something_is_printed() -> None:
    assert tally([score(None, TRUTH)]) == {"missing": 8, "absent": len(FIELDS) - 8}
    assert tally([score(None, {"panel": {}, "fields": {}})]) == {"absent": len(FIELDS)}


@pytest.mark.parametrize(
    ("panel", "field", "outcome"),
    [
        (changed("nutrients", "sodium", value=140), "sodium", "silent"),
        (changed("nutrients", "sodium", value=140, state="check"), "sodium", "flagged"),
        (changed("nutrients", "sodium", state="check"), "sodium", "doubted"),
        (changed("nutrients", "fiber", less_than=False), "fiber", "silent"),
        (changed("nutrients", "calcium", value=130), "calcium", "silent"),
        (changed("nutrients", "iron", value=0), "iron", "silent"),
        (changed("serving", "household_amount", value=2 / 3), "serving_size", "exact"),
        (changed("serving", "household_amount", value=0.75), "serving_size", "silent"),
        (changed("serving", "household_unit", value="Cups"), "serving_size", "exact"),
        (changed("serving", "household_unit", value="taza"), "serving_size", "exact"),
        (changed("serving", "household_unit", value="piece"), "serving_size", "silent"),
        (changed("serving", "household_unit", state="check"), "serving_size", "doubted"),
        (changed("serving", "metric_unit", value="ml"), "metric_amount", "silent"),
    ],
)
def test_each_outcome(panel: dict[str, Any], field: str, outcome: str) -> None:
    outcomes = score(panel, TRUTH)

    assert outcomes[field] == outcome
    assert tally([outcomes])["exact"] == 8 - (outcome != "exact" and field not in ("calcium", "iron"))


def test_a_piece_stands_for_any_noun() -> None:
    crackers = {"panel": changed("serving", "household_unit", value="cracker"), "fields": {}}

    assert score(changed("serving", "household_unit", value="piece"), crackers)["serving_size"] == "exact"
    assert score(changed("serving", "household_unit", value="galletas"), crackers)["serving_size"] == "exact"
    assert score(changed("serving", "household_unit", value="slice"), crackers)["serving_size"] == "silent"


def test_what_the_frame_cuts_off_may_be_left_out_but_not_misread() -> None:
    cut = {"panel": PANEL, "fields": {"sodium": {"within": False}}}

    assert score(None, cut)["sodium"] == "absent"
    assert score(PANEL, cut)["sodium"] == "exact"
    assert score(changed("nutrients", "sodium", value=16), cut)["sodium"] == "silent"
