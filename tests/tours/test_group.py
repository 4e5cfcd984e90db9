"""What a group's amounts hold is what the core's portions hold, one by one."""

import statistics

from hypothesis import given
from hypothesis import strategies as st

from shelfcheck.amounts import Amount
from shelfcheck.foods import find_food
from shelfcheck.measures import hands_from
from shelfcheck.panel import CORE
from shelfcheck.panel_json import panel_from_json
from shelfcheck.portion import build_portion
from shelfcheck.portion_json import portion_to_json
from shelfcheck.tours.group import Said, build_group, group_to_json
from tests.making import panel, sample

GRANOLA = panel_from_json(sample("fda_sample"))
FOOD = find_food("granola")
SAID = st.builds(
    Said,
    st.builds(Amount, st.floats(0.25, 12), st.sampled_from(["fist", "cupped_hand", "thumb", "g"])),
    st.sampled_from([{}, {"fist_ml": 300.0}, {"thumb_ml": 20.0}]),
    st.booleans(),
)


@given(st.lists(SAID, min_size=1, max_size=20))
def test_a_groups_numbers_are_those_of_the_portions(said: list[Said]) -> None:
    told = group_to_json(build_group(GRANOLA, FOOD, "fist", said))
    portions = [build_portion(GRANOLA, each.amount, FOOD, hands=hands_from(each.hands)) for each in said]
    alone = [portion_to_json(portion) for portion in portions]

    assert told["answers"] == len(said)
    assert told["late"] == sum(each.late for each in said)
    assert told["servings"]["values"] == sorted(each["servings"]["value"] for each in alone)
    assert sorted(told["nutrients"]) == sorted(CORE)
    for key in CORE:
        values = sorted(each["nutrients"][key]["value"] for each in alone)
        exact = statistics.median(portion.nutrients[key].range.value for portion in portions)
        assert told["nutrients"][key]["values"] == values
        assert abs(told["nutrients"][key]["median"] - exact) <= 0.5
        assert (told["nutrients"][key]["smallest"], told["nutrients"][key]["largest"]) == (
            values[0],
            values[-1],
        )
        assert told["nutrients"][key]["serving"] == GRANOLA.value(key)
    assert sum(len(each["values"]) for each in told["amounts"]) == len(said)


def test_a_group_by_hand() -> None:
    said = [Said(Amount(count, "fist"), {}, late=False) for count in (3, 1, 2)]
    told = group_to_json(build_group(GRANOLA, FOOD, "fist", said))

    assert told["amounts"] == [
        {"measure": "fist", "cooked": False, "values": [1, 2, 3], "median": 2, "smallest": 1, "largest": 3}
    ]
    assert told["servings"] == {"values": [1.5, 3, 4.5], "median": 3, "smallest": 1.5, "largest": 4.5}
    assert told["nutrients"]["energy"]["values"] == [345, 690, 1035]
    assert told["nutrients"]["energy"]["serving"] == 230
    assert told["serving"] == {"text": "2/3 cup (55g)", "measure": "fist", "count": 0.67}


def test_a_group_of_nobody_has_the_labels_serving_alone() -> None:
    told = group_to_json(build_group(GRANOLA, FOOD, "fist", []))

    assert told["answers"] == 0
    assert told["amounts"] == []
    assert told["servings"] == {"values": [], "median": None, "smallest": None, "largest": None}
    assert told["nutrients"]["energy"]["median"] is None
    assert told["nutrients"]["energy"]["serving"] == 230


def test_an_amount_that_the_corrected_panel_cannot_tell_is_left_out_and_counted() -> None:
    by_weight = panel("/28 g", {"energy": 100})
    said = [Said(Amount(1, "fist"), {}, late=False), Said(Amount(56, "g"), {}, late=True)]
    told = group_to_json(build_group(by_weight, None, "fist", said))

    assert (told["answers"], told["late"], told["left_out"]) == (1, 1, 1)
    assert told["nutrients"] == {
        "energy": {
            "unit": "kcal",
            "serving": 100,
            "values": [200],
            "median": 200,
            "smallest": 200,
            "largest": 200,
        }
    }
    assert told["serving"]["count"] is None


def test_cooked_and_dry_are_told_apart_and_the_most_said_comes_first() -> None:
    rice, food = panel_from_json(sample("white_rice")), find_food("rice")
    said = [Said(Amount(1, "fist", cooked), {}, late=False) for cooked in (False, True, True)]
    told = group_to_json(build_group(rice, food, "fist", said))

    assert [(each["measure"], each["cooked"], len(each["values"])) for each in told["amounts"]] == [
        ("fist", True, 2),
        ("fist", False, 1),
    ]
