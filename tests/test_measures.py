"""Hand and kitchen measures, and a person's own hands."""

import math

import pytest

from shelfcheck import data
from shelfcheck.errors import InvalidInputError, UnknownMeasureError
from shelfcheck.measures import Hands, find_measure, hands_from, measures, uncertainty, vocabulary
from shelfcheck.words import LANGUAGES

HAND = [measure for measure in measures().values() if measure.kind == "hand"]
SCALED = [measure for measure in HAND if measure.scales]


def test_every_measure_has_a_source_a_name_in_both_languages_and_an_uncertainty() -> None:
    for row in data.load("measures.json")["measures"]:
        measure = measures()[row["id"]]

        assert row["source"]
        assert row["how_known"]
        assert set(measure.names) == set(LANGUAGES)
        assert measure.step > 0
        assert 0 <= uncertainty(measure.kind) < 0.5


def test_every_hand_measure_is_shown_in_both_languages() -> None:
    rows = {row["id"]: row for row in data.load("measures.json")["measures"]}

    assert all(set(rows[measure.id]["shown"]) == set(LANGUAGES) for measure in HAND)


def test_every_uncertainty_tells_how_it_is_known() -> None:
    for entry in data.load("measures.json")["relative_standard_uncertainty"].values():
        assert entry["how_known"] == "judgement"
        assert entry["source"]


def test_no_word_names_two_measures() -> None:
    said: dict[str, str] = {}
    for measure in measures().values():
        names = [form for forms in measure.names.values() for form in forms.values()]
        for word in (measure.id, *names, *measure.say):
            assert said.setdefault(word.lower(), measure.id) == measure.id, word


@pytest.mark.parametrize(
    ("word", "measure"),
    [
        ("fist", "fist"),
        (" Fists ", "fist"),
        ("puños", "fist"),
        ("palma", "palmful"),
        ("T" + "bsp", "tbsp"),
        ("punta de pulgar", "thumb_tip"),
        ("two fingers", "two_fingers"),
        ("manojo", "bundle"),
        ("oz.", "oz"),
    ],
)
def test_a_measure_is_found_by_any_of_its_words(word: str, measure: str) -> None:
    assert find_measure(word).id == measure


def test_an_unknown_measure_is_answered_with_those_there_are() -> None:
    with pytest.raises(UnknownMeasureError) as caught:
        find_measure("bucket")

    assert "bucket" in caught.value.message
    assert "fist, half_fist" in caught.value.message
    assert set(caught.value.fields) == {"amount.measure"}


def test_a_name_is_singular_up_to_one() -> None:
    fist = measures()["fist"]

    assert [fist.name(count) for count in (0.5, 1, 1.5, 2)] == ["fist", "fist", "fists", "fists"]
    assert fist.name(2, "es") == "puños"
    assert vocabulary()["puño cerrado"] == "fist"


def test_an_unknown_hand_has_the_usual_sizes_and_the_wide_uncertainty() -> None:
    for measure in HAND:
        for way in measure.ways:
            assert Hands().size(measure, way) == (way.amount, uncertainty("hand"))
    assert uncertainty("hand") == 0.3
    assert (uncertainty("own"), uncertainty("spoon"), uncertainty("scale")) == (0.15, 0.05, 0.01)


@pytest.mark.parametrize("measure", SCALED, ids=lambda measure: measure.id)
def test_one_measured_fist_scales_every_hand_measure_by_volume(measure: object) -> None:
    hands = hands_from({"fist_ml": 300})
    own = measures()[getattr(measure, "id", "")]

    for way in own.ways:
        size, spread = hands.size(own, way)

        assert size == pytest.approx(way.amount * 300 / 240)
        assert spread == (uncertainty("own") if own.id == "fist" else uncertainty("own_scaled"))


def test_kitchen_measures_and_the_bundle_do_not_grow_with_the_hand() -> None:
    hands = hands_from({"fist_ml": 480})

    for name in ("cup", "tbsp", "oz", "piece", "container", "bundle"):
        measure = measures()[name]
        assert hands.size(measure, measure.ways[0])[0] == measure.ways[0].amount


def test_a_measure_measured_by_itself_beats_the_scaling() -> None:
    hands = hands_from({"fist_ml": 300, "thumb_ml": 20, "palmful_g": 35})
    thumb, palmful = measures()["thumb"], measures()["palmful"]

    assert hands.size(thumb, thumb.ways[0]) == (20, uncertainty("own"))
    assert hands.size(palmful, palmful.ways[0]) == (35, uncertainty("own"))
    assert hands.size(palmful, palmful.ways[1])[0] == pytest.approx(47 * 1.25)


def test_a_bowl_is_wide_until_its_owner_measures_it_and_does_not_grow_with_the_hand() -> None:
    bowl = measures()["bowl"]

    for hands in (Hands(), hands_from({"fist_ml": 480})):
        assert hands.size(bowl, bowl.ways[0]) == (360, uncertainty("bowl"))
    assert hands_from({"bowl_ml": 600}).size(bowl, bowl.ways[0]) == (600, uncertainty("own_bowl"))
    assert uncertainty("own_bowl") < uncertainty("hand") < uncertainty("bowl")


@pytest.mark.parametrize("size", [59, 2401])
def test_a_bowl_beyond_any_bowl_is_refused(size: float) -> None:
    with pytest.raises(InvalidInputError) as caught:
        hands_from({"bowl_ml": size})

    assert "60" in caught.value.fields["hands.bowl_ml"]
    assert "2400" in caught.value.fields["hands.bowl_ml"]


def test_a_hands_breadth_gives_the_fist_by_the_cube_of_the_lengths() -> None:
    mean = data.load("measures.json")["hand_breadth"]["mean_mm"]
    fist = measures()["fist"]

    assert hands_from({"hand_breadth_mm": mean}).size(fist, fist.ways[0])[0] == pytest.approx(240)
    size, spread = hands_from({"hand_breadth_mm": mean * 1.1}).size(fist, fist.ways[0])
    assert size == pytest.approx(240 * 1.1**3)
    assert spread == pytest.approx(math.hypot(0.15, 0.15))


def test_the_water_that_a_fist_displaces_gives_the_heap_that_looks_like_it() -> None:
    mean = data.load("measures.json")["fist_in_water"]["mean_ml"]
    fist, thumb = measures()["fist"], measures()["thumb"]

    assert hands_from({"fist_water_ml": mean}).size(fist, fist.ways[0])[0] == pytest.approx(240)
    hands = hands_from({"fist_water_ml": mean * 1.2, "thumb_ml": 20})
    size, spread = hands.size(fist, fist.ways[0])
    assert size == pytest.approx(240 * 1.2)
    assert spread == pytest.approx(math.hypot(0.15, 0.15))
    assert hands.size(thumb, thumb.ways[0]) == (20, uncertainty("own"))


def test_the_usual_fist_in_water_lies_between_the_two_hands_that_were_measured() -> None:
    """1.3 and 2.1 cups of water, though a heap that looks like a fist is about 1 cup."""
    row = data.load("measures.json")["fist_in_water"]

    assert row["mean_ml"] == (312 + 494) / 2
    assert 1.3 * 240 <= row["mean_ml"] <= 2.1 * 240
    assert "two hands only" in row["source"]


def test_a_measured_fist_beats_the_water_and_the_water_the_breadth() -> None:
    fist = measures()["fist"]
    every = {"hand_breadth_mm": 100, "fist_water_ml": 403, "fist_ml": 250}

    assert hands_from(every).measured == {"fist_ml": 250}
    assert hands_from(every).fist_u is None
    del every["fist_ml"]
    assert hands_from(every).size(fist, fist.ways[0])[0] == pytest.approx(240)


def test_no_fist_follows_where_none_was_measured() -> None:
    assert hands_from({"thumb_ml": 20}) == Hands({"thumb_ml": 20})


def test_by_breadth_no_scaled_measure_is_surer_than_the_fist() -> None:
    hands = hands_from({"hand_breadth_mm": 85})
    fist, thumb = measures()["fist"], measures()["thumb"]

    assert hands.size(thumb, thumb.ways[0])[1] >= hands.size(fist, fist.ways[0])[1]


def test_lengths_go_with_the_cube_root_and_areas_with_its_square() -> None:
    hands = hands_from({"fist_ml": 480})

    assert hands.volume_ratio == 2
    assert hands.length_ratio == pytest.approx(2 ** (1 / 3))
    assert hands.area_ratio == pytest.approx(2 ** (2 / 3))
    assert Hands().length_ratio == 1


def test_every_impossible_hand_is_told_at_once() -> None:
    with pytest.raises(InvalidInputError) as caught:
        hands_from(
            {
                "fist_ml": 5,
                "nose_ml": 20,
                "thumb_ml": "big",
                "palmful_g": True,
                "hand_breadth_mm": float("nan"),
            }
        )

    assert set(caught.value.fields) == {
        "hands.fist_ml",
        "hands.nose_ml",
        "hands.thumb_ml",
        "hands.palmful_g",
        "hands.hand_breadth_mm",
    }
    assert "80 to 700" in caught.value.fields["hands.fist_ml"]
    assert "thumb_ml" in caught.value.fields["hands.nose_ml"]


def test_no_hands_given_are_the_usual_hands() -> None:
    assert hands_from(None) == hands_from({}) == Hands()
