"""What holds for every amount, panel and request, tried on many that hypothesis draws."""

import json
import math
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, example, given, reject, settings
from hypothesis import strategies as st

from shelfcheck import rules
from shelfcheck.amounts import MOST, Amount, parse_amount
from shelfcheck.check import checked
from shelfcheck.errors import InvalidInputError, ShelfcheckError
from shelfcheck.foods import foods
from shelfcheck.measures import hands_from, measures
from shelfcheck.numbers import as_fraction, exact_thirds, round_half_up, round_to_step
from shelfcheck.panel import STATES, Panel
from shelfcheck.panel_json import COLUMNS, panel_from_json, panel_to_json
from shelfcheck.portion import build_portion
from shelfcheck.portion_json import portion_to_json
from shelfcheck.rules import nutrients, printed_interval
from shelfcheck.service import create_app
from shelfcheck.units import to_label_unit
from shelfcheck.words import LANGUAGES
from tests.rough import ANY, ROUGH_PANEL

COUNTS = st.floats(0.01, 100, allow_nan=False)
NAMES = st.sampled_from(sorted(nutrients()))
NOUNS = st.sampled_from(["cracker", "slice", "bar", "cookie", "can", "bag", "tortilla"])
LANGS = st.sampled_from(LANGUAGES)


def stated(value: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.fixed_dictionaries({"value": value, "state": st.sampled_from(STATES[:2])})


@st.composite
def panels(draw: st.DrawFn) -> Panel:
    """A panel that the rules could print, of any food, with a serving in one of the label's ways."""
    serving: dict[str, Any] = {
        "household_amount": draw(stated(st.sampled_from([0.25, 0.333, 0.5, 0.667, 0.75, 1, 1.5, 2, 9]))),
        "household_unit": draw(
            stated(st.sampled_from(["cup", "tbsp", "tsp", "oz", "cracker", "slice", "can", "fl_oz"]))
        ),
        "metric_amount": draw(stated(st.integers(1, 400))),
        "metric_unit": draw(st.sampled_from(["g", "ml"])),
        "text": draw(st.text(max_size=20)),
    }
    for key in ("servings_per_container", "pieces"):
        if draw(st.booleans()):
            serving[key] = draw(stated(st.integers(1, 40))) | {"about": draw(st.booleans())}
    column = st.dictionaries(NAMES, st.floats(0, 0.9), max_size=8)

    def printed(shares: dict[str, float]) -> dict[str, Any]:
        return {
            key: {
                "value": rules.declare(nutrients()[key], share * nutrients()[key].most / 20),
                "less_than": draw(st.booleans()) and share < 0.05,
                "percent_dv": draw(st.none() | st.integers(0, 300)),
                "state": draw(st.sampled_from(STATES[:2])),
            }
            for key, share in shares.items()
        }

    raw: dict[str, Any] = {"serving": serving, "nutrients": printed(draw(column))}
    raw["columns"] = {
        name: printed(draw(column)) for name in draw(st.sets(st.sampled_from(COLUMNS), max_size=1))
    }
    raw |= draw(
        st.fixed_dictionaries(
            {}, optional={"name": st.text(min_size=1, max_size=20), "form": st.just("1993")}
        )
    )
    return panel_from_json(raw)


@st.composite
def portions(draw: st.DrawFn) -> tuple[Panel, Amount, dict[str, Any]]:
    """A panel, an amount that the panel or a food bridges, and what else a shopper may say."""
    panel = draw(panels())
    measure = draw(st.sampled_from(sorted(measures())) | NOUNS)
    amount = Amount(draw(COUNTS), measure, cooked=draw(st.booleans()))
    food = draw(st.none() | st.sampled_from(list(foods().values())))
    hands = hands_from(
        draw(st.sampled_from([{}, {"fist_ml": 300}, {"hand_breadth_mm": 90}, {"thumb_ml": 20}]))
    )
    said = {"food": food, "hands": hands}
    try:
        build_portion(panel, amount, **said)
    except InvalidInputError:
        reject()
    return panel, amount, said


@given(portions(), st.floats(0.1, 50))
def test_a_portion_is_linear_in_the_count(drawn: tuple[Panel, Amount, dict[str, Any]], factor: float) -> None:
    panel, amount, said = drawn
    one = build_portion(panel, amount, **said)
    many = build_portion(panel, amount._replace(count=amount.count * factor), **said)

    assert many.servings == pytest.approx(one.servings.scaled(factor))
    for key, eaten in many.nutrients.items():
        assert eaten.range == pytest.approx(one.nutrients[key].range.scaled(factor))
    if one.grams is not None:
        assert many.grams == pytest.approx(one.grams.scaled(factor))


@given(portions())
def test_every_value_lies_in_its_range_and_the_narrow_range_in_the_wide(
    drawn: tuple[Panel, Amount, dict[str, Any]],
) -> None:
    panel, amount, said = drawn
    narrow, wide = (build_portion(panel, amount, **said, coverage=coverage) for coverage in (1, 2))
    pairs = [(narrow.servings, wide.servings)]
    pairs += [(eaten.range, wide.nutrients[key].range) for key, eaten in narrow.nutrients.items()]
    if narrow.grams is not None and wide.grams is not None:
        pairs.append((narrow.grams, wide.grams))

    for inner, outer in pairs:
        assert 0 <= outer.low <= inner.low <= inner.value <= inner.high <= outer.high
        assert inner.value == outer.value
        assert all(map(math.isfinite, outer))


@given(portions(), LANGS)
def test_every_portion_can_be_told_in_either_language(
    drawn: tuple[Panel, Amount, dict[str, Any]], lang: str
) -> None:
    panel, amount, said = drawn
    told = portion_to_json(build_portion(panel, amount, **said), lang)

    texts = [*told["working"], *told["cautions"], *(insight["text"] for insight in told["insights"])]
    assert all(texts)
    assert json.loads(json.dumps(told, allow_nan=False)) == told
    for part in (told["servings"], *told["nutrients"].values()):
        assert part["low"] <= part["value"] <= part["high"]


@given(NAMES, st.floats(0, 1))
@example("cholesterol", 0.0049)
@example("sodium", 140 / 60000)
def test_printing_what_is_printed_changes_nothing(name: str, share: float) -> None:
    nutrient = nutrients()[name]
    amount = share * nutrient.most
    printed = rules.declare(nutrient, amount)

    assert rules.declare(nutrient, printed) == printed
    assert rules.on_grid(nutrient, printed)


@given(NAMES, st.floats(0, 1))
@example("energy", 0.0006)
@example("sodium", 142.5 / 60000)
@example("fat", 0.00499)
def test_what_is_printed_stands_for_the_amount_that_was_printed(name: str, share: float) -> None:
    nutrient = nutrients()[name]
    amount = share * nutrient.most
    interval = printed_interval(name, rules.declare(nutrient, amount))

    slack = 1e-6 * max(1.0, amount)
    assert interval.low - slack <= amount <= interval.high + slack
    assert interval.low < interval.high


@given(NAMES, st.floats(0, 1))
def test_the_percent_of_an_amount_is_among_the_lawful_ones_beside_it(name: str, share: float) -> None:
    nutrient = nutrients()[name]
    amount = share * nutrient.most / 50
    printed = rules.declare(nutrient, amount)
    lawful, percent = rules.lawful_percents(nutrient, printed), rules.printed_percent(nutrient, amount)

    assert (lawful is None) == (percent is None)
    if lawful is not None and percent is not None:
        step = rules.percent_step(nutrient, percent)
        assert lawful[0] - step * 1e-6 <= percent <= lawful[1] + step * 1e-6


@given(st.floats(-1e6, 1e6), st.integers(0, 3))
def test_rounding_twice_is_rounding_once(value: float, decimals: int) -> None:
    rounded = round_half_up(value, decimals)

    assert round_half_up(rounded, decimals) == rounded
    assert abs(rounded - value) <= 0.5 / 10**decimals + 1e-6


@given(st.floats(0, 1e5), st.sampled_from([0.1, 0.5, 1, 2, 5, 10]))
def test_a_step_is_at_most_half_a_step_away(value: float, step: float) -> None:
    rounded = round_to_step(value, step)

    assert abs(rounded - value) <= step / 2 + 1e-6
    assert round_to_step(rounded, step) == rounded


@given(st.integers(0, 50), st.sampled_from([2, 3, 4, 6, 8]), st.integers(1, 7))
def test_a_fraction_printed_is_the_fraction_meant(whole: int, bottom: int, top: int) -> None:
    value = whole + (top % bottom) / bottom

    assert math.isclose(sum(_number(part) for part in as_fraction(value).split()), value, abs_tol=1e-12)
    assert exact_thirds(round(value, 3)) == pytest.approx(value, abs=1e-3)


def _number(part: str) -> float:
    top, _, bottom = part.partition("/")
    return int(top) / int(bottom or 1)


@given(
    count=st.floats(1e-6, MOST),
    measure=st.sampled_from(sorted(measures())) | NOUNS,
    cooked=st.booleans(),
    lang=LANGS,
)
@example(count=1e-06, measure="cup", cooked=True, lang="es")
@example(count=2 / 3, measure="half_fist", cooked=False, lang="es")
@example(count=0.5, measure="fist", cooked=False, lang="es")
def test_an_amount_said_is_read_back_the_same(count: float, measure: str, *, cooked: bool, lang: str) -> None:
    amount = Amount(count, measure, cooked=cooked)

    assert parse_amount(amount.text(lang), lang) == amount
    assert parse_amount(amount.text(lang), LANGUAGES[0]) == amount


@given(st.text(max_size=150), LANGS)
@example("1 " * 70, "en")
@example("½/½ cup", "en")
@example("９ cups", "en")
@example("१/२ cup", "en")
@example("²/₃ cup", "en")
@example("1 ǅ", "en")
def test_any_text_is_an_amount_or_is_refused_with_a_sentence(text: str, lang: str) -> None:
    read_or_refused(text, lang)


def read_or_refused(text: str, lang: str) -> Amount:
    """Return the amount that a text says, held to what can be eaten; a fist for what is refused in words."""
    refusal, amount = None, Amount(1, "fist")
    try:
        amount = parse_amount(text, lang)
    except ShelfcheckError as error:
        refusal = error

    assert refusal is None or (refusal.message and refusal.fields)
    assert 0 < amount.count <= MOST
    return amount


@given(st.floats(0.001, 1000), st.sampled_from(["lb", "kg", "pint", "quart", "gallon", "liter", "pound"]))
def test_a_unit_there_and_back_is_the_same(count: float, word: str) -> None:
    there, one = to_label_unit(count, word), to_label_unit(1, word)

    assert there is not None
    assert one is not None
    assert there[0] / one[0] == pytest.approx(count)
    assert there[1] == one[1]


@given(panels())
def test_a_panel_written_and_read_is_the_same(panel: Panel) -> None:
    written = panel_to_json(panel)
    again = panel_from_json(json.loads(json.dumps(written)))

    assert panel_to_json(again) == written
    assert again.serving == panel.serving
    assert again.columns == panel.columns
    assert (again.form, again.name, again.food) == (panel.form, panel.name, panel.food)
    assert {key: again.nutrients[key] for key in panel.nutrients} == panel.nutrients
    assert all(
        declared.state == "missing" for key, declared in again.nutrients.items() if key not in panel.nutrients
    )


@given(panels())
def test_a_checked_panel_checked_again_says_the_same(panel: Panel) -> None:
    try:
        once = checked(panel)
    except InvalidInputError:
        return
    twice = checked(once._replace(doubts=()))

    assert twice == once
    for doubt in once.doubts:
        part, _, key = doubt.field.partition(".")
        if part in ("serving", "nutrients"):
            field = getattr(once.serving, key) if part == "serving" else once.nutrients[key]
            assert field.state == "check"


GOOD_PANEL = panels().map(panel_to_json)
QUERY = ANY | st.fixed_dictionaries(
    {"panel": GOOD_PANEL | ROUGH_PANEL},
    optional={
        "amount": ANY
        | st.fixed_dictionaries(
            {},
            optional={
                "count": ANY | COUNTS,
                "measure": ANY | st.sampled_from(["fist", "cup", "g", "can"]),
                "cooked": ANY | st.booleans(),
            },
        ),
        "food": ANY | st.sampled_from(["rice", "almonds", "oats"]),
        "hands": ANY
        | st.dictionaries(
            st.sampled_from(["fist_ml", "hand_breadth_mm"]) | st.text(max_size=5),
            ANY | st.floats(80, 700),
            max_size=2,
        ),
        "plan": ANY
        | st.dictionaries(
            st.sampled_from(["meal_carbohydrate_g", "day_sodium_mg"]) | st.text(max_size=5), ANY, max_size=2
        ),
        "coverage": ANY | st.sampled_from([1, 2]),
    },
)
REQUESTS = settings(
    max_examples=150, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)


@pytest.fixture(scope="module")
def service() -> FlaskClient:
    return create_app().test_client()


def hold(client: FlaskClient, path: str, content: Any) -> None:
    """Send any JSON and hold the answer: 200, or an error of the one shape that is the asker's to mend."""
    response = client.post(path, data=json.dumps(content), content_type="application/json")
    told = response.get_json()
    if response.status_code != 200:
        assert 400 <= response.status_code < 500
        assert set(told) == {"error"}
        assert set(told["error"]) == {"code", "message", "fields"}
        assert all(isinstance(sentence, str) and sentence for sentence in told["error"]["fields"].values())
        assert told["error"]["message"]


@REQUESTS
@given(QUERY)
def test_any_json_sent_as_a_portion_is_answered_or_refused(service: FlaskClient, content: Any) -> None:
    hold(service, "/api/portions", content)


@REQUESTS
@given(ROUGH_PANEL)
def test_any_json_sent_as_a_panel_is_answered_or_refused(service: FlaskClient, content: Any) -> None:
    hold(service, "/api/panels/check", content)


@REQUESTS
@given(st.binary(max_size=60))
def test_any_bytes_are_answered_or_refused(service: FlaskClient, content: bytes) -> None:
    for path in ("/api/portions", "/api/panels/check"):
        response = service.post(path, data=content, content_type="application/json")
        assert 400 <= response.status_code < 500
        assert set(response.get_json()) == {"error"}
