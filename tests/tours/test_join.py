"""What phones see and say: nothing before it is open, no change after the reveal, every answer once."""

from __future__ import annotations

import threading
import uuid
from typing import Any

import pytest
from sqlalchemy import text

from shelfcheck import data
from shelfcheck.errors import ShelfcheckError
from shelfcheck.tours import join, lead
from shelfcheck.tours.plan import plan_from_json
from shelfcheck.tours.store import Store
from shelfcheck.words import LANGUAGES
from tests.test_service import problem
from tests.tours.walking import Walk, amount, phone, plan_json, stop_json

# seeing


def test_a_phone_sees_of_a_food_only_its_question_until_it_opens(walk: Walk) -> None:
    told = walk.see().get_json()

    assert set(told) == {"version", "code", "title", "lang", "held_on", "meal_carbohydrate_g", "stops"}
    assert told["stops"][0]["name"] == "Toasted oat rings"
    for stop in told["stops"]:
        assert (stop["state"], stop["panel"], stop["food"], stop["group"]) == ("waiting", None, None, None)
    walk.state("open")
    first, second, *_ = walk.see().get_json()["stops"]
    assert first["panel"] == walk.tour()["stops"][0]["panel"]
    assert first["food"] == "toasted_oat_rings"
    assert first["group"] is None
    assert second["panel"] is None


def test_all_see_the_group_once_it_is_revealed(walk: Walk) -> None:
    walk.state("open")
    for count in (3, 1, 2):
        walk.guess(phone(), amount(count))
    assert walk.see().get_json()["stops"][0]["group"] is None

    walk.state("revealed")
    group = walk.see().get_json()["stops"][0]["group"]
    assert group == walk.tour()["stops"][0]["group"]
    assert group["amounts"][0]["values"] == [1, 2, 3]
    assert group["nutrients"]["energy"]["values"] == [150, 300, 450]


def test_a_phone_that_has_the_version_is_told_that_nothing_changed(walk: Walk) -> None:
    etag = walk.see().headers["ETag"]
    walk.client.put(f"/api/join/{walk.code}/phone", json={"phone": phone()})
    walk.practise(phone(), 240)
    assert walk.see(**{"If-None-Match": etag}).status_code == 304
    walk.state("open")
    opened = walk.see(**{"If-None-Match": etag})
    assert opened.status_code == 200

    walk.guess(phone())  # what others say before the reveal is no news to a phone
    assert walk.see(**{"If-None-Match": opened.headers["ETag"]}).status_code == 304
    walk.state("revealed")
    assert walk.see(**{"If-None-Match": opened.headers["ETag"]}).status_code == 200


@pytest.mark.parametrize("show", [True, False])
def test_the_meals_carbohydrate_is_seen_only_where_it_is_shown(walk: Walk, *, show: bool) -> None:
    other = Walk.begin(walk.client, plan_json(meal_carbohydrate_g=45, show_plan=show))

    assert other.see().get_json()["meal_carbohydrate_g"] == (45 if show else None)


def test_the_code_is_taken_however_it_is_typed(walk: Walk) -> None:
    for typed in (walk.code.upper(), walk.code.replace("-", ""), walk.code.replace("-", "%20")):
        assert walk.client.get(f"/api/join/{typed}").get_json()["code"] == walk.code


@pytest.mark.parametrize("lang", LANGUAGES)
@pytest.mark.parametrize("code", ["nono", "fofo-fofo", "%00", "%F0%9F%8D%8E", "x" * 500])
def test_a_wrong_code_is_told_plainly(walk: Walk, code: str, lang: str) -> None:
    response = walk.client.get(f"/api/join/{code}?lang={lang}")

    problem(response, 404, "no_tour")
    assert ("código" in response.get_json()["error"]["message"]) is (lang == "es")
    problem(walk.client.put(f"/api/join/{code}/phone", json={"phone": phone()}), 404, "no_tour")
    problem(walk.client.get(f"/api/join/{code}/mine?phone={phone()}"), 404, "no_tour")


# joining


def test_a_phone_joins_once_however_often_it_says_so(walk: Walk) -> None:
    who = phone()
    for _ in range(3):
        response = walk.client.put(f"/api/join/{walk.code}/phone", json={"phone": who})
        assert response.get_json() == {"joined": True}
    walk.practise(who, 240)

    assert walk.tour()["phones"] == 1


@pytest.mark.parametrize("who", [None, 5, "", "me", "0" * 31, {"a": 1}])
def test_a_phone_gives_a_random_number_and_nothing_else(walk: Walk, who: object) -> None:
    body = {"phone": who, "round": "before", "measure": "fist", "measured": 240}
    for path, sent in (("phone", {"phone": who}), ("practice", body)):
        response = walk.client.put(f"/api/join/{walk.code}/{path}", json=sent)
        assert set(problem(response, 422, "invalid_input")) == {"phone"}
    assert set(problem(walk.client.get(f"/api/join/{walk.code}/mine"), 422, "invalid_input")) == {"phone"}


def test_more_phones_than_a_tour_can_have_are_refused(walk: Walk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(data.load("tour_rules.json")["limits"], "phones", 2)
    first = phone()
    walk.state("open")
    walk.guess(first)
    walk.practise(phone(), 240)

    problem(walk.guess(phone()), 409, "tour_full")
    problem(walk.practise(phone(), 240), 409, "tour_full")
    problem(walk.client.put(f"/api/join/{walk.code}/phone", json={"phone": phone()}), 409, "tour_full")
    assert walk.guess(first, amount(3)).status_code == 200


def test_nothing_that_is_kept_tells_whose_phone_it_is(walk: Walk, store: Store) -> None:
    who, other = phone(), Walk.begin(walk.client)
    for tour in (walk, other):
        tour.state("open")
        tour.guess(who)

    with store.reading() as db:
        hashes = {row[0] for row in db.execute(text("SELECT hash FROM phone"))}
        columns = set(db.execute(text("SELECT * FROM guess")).keys())
    assert len(hashes) == 2  # the same phone is another in each tour
    assert who not in str(hashes)
    assert columns == {"id", "stop_id", "phone_id", "count", "measure", "cooked", "hands", "late"}


# saying an amount


def test_an_answer_takes_the_place_of_the_one_before(walk: Walk) -> None:
    who = phone()
    walk.state("open")
    assert walk.guess(who, amount(1)).get_json() == {
        "guess": {"count": 1, "measure": "fist", "cooked": False, "hands": {}},
        "late": False,
    }
    walk.guess(who, amount(2, "puños", hands={"fist_ml": 300}))

    assert walk.tour()["stops"][0]["answered"] == 1
    assert walk.mine(who)["guesses"] == [
        {
            "stop": walk.stop(),
            "guess": {"count": 2, "measure": "fist", "cooked": False, "hands": {"fist_ml": 300}},
            "late": False,
        }
    ]
    walk.state("revealed")
    assert walk.tour()["stops"][0]["group"]["servings"]["values"] == [2.5]


def test_the_same_answer_again_changes_nothing_whatever_came_between(walk: Walk) -> None:
    who, said = phone(), amount(2, hands={"fist_ml": 300, "thumb_ml": 20})
    walk.state("open")
    first = walk.guess(who, said).get_json()
    for state in ("open", "revealed", "closed", "waiting"):
        walk.state(state)
        version = walk.tour()["version"]
        again = walk.guess(who, said)
        assert (again.status_code, again.get_json()) == (200, first), state
        assert walk.tour()["version"] == version


def test_before_it_opens_and_once_it_is_closed_a_food_takes_nothing(walk: Walk) -> None:
    problem(walk.guess(phone()), 409, "not_open")
    walk.state("closed")
    problem(walk.guess(phone()), 409, "stop_closed")

    assert walk.tour()["phones"] == 0


def test_after_the_reveal_a_first_answer_is_late_and_a_change_is_refused(walk: Walk) -> None:
    early, waited = phone(), phone()
    walk.state("open")
    walk.guess(early, amount(1))
    walk.state("revealed")
    seen = walk.see().headers["ETag"]

    problem(walk.guess(early, amount(2)), 409, "guess_shown")
    late = walk.guess(waited, amount(3))
    assert late.get_json()["late"] is True
    assert walk.guess(waited, amount(3)).get_json() == late.get_json()
    problem(walk.guess(waited, amount(1)), 409, "guess_shown")
    news = walk.see(**{"If-None-Match": seen}).get_json()
    group = news["stops"][0]["group"]
    assert (group["answers"], group["late"], group["amounts"][0]["values"]) == (2, 1, [1, 3])


def test_a_late_answer_alone_keeps_a_food_from_opening_again(walk: Walk) -> None:
    walk.state("revealed")
    walk.guess(phone())

    problem(walk.state("open"), 409, "stop_shown")


@pytest.mark.parametrize(
    ("said", "code", "fields"),
    [
        (amount(-1), "bad_amount", {"count"}),
        (amount(0), "bad_amount", {"count"}),
        (amount(10_001), "bad_amount", {"count"}),
        (amount(1e308), "bad_amount", {"count"}),
        ({"count": True, "measure": "fist"}, "invalid_input", {"count"}),
        ({"count": [2], "measure": "fist"}, "invalid_input", {"count"}),
        ({"count": {"a": 1}, "measure": ["fist"]}, "invalid_input", {"count", "measure"}),
        (amount(2, "fist" * 5000), "unknown_measure", {"measure"}),
        ({"measure": "fist"}, "invalid_input", {"count"}),
        ({"count": "2", "measure": 5}, "invalid_input", {"count", "measure"}),
        (amount(2, "bucket"), "unknown_measure", {"measure"}),
        (amount(2, "\x00"), "unknown_measure", {"measure"}),
        (amount(2, "piece"), "no_bridge", {"food"}),
        (amount(cooked="yes"), "invalid_input", {"cooked"}),
        (amount(size=2), "invalid_input", {"size"}),
        (amount(hands=5), "invalid_input", {"hands"}),
        (amount(hands={"fist_ml": 1}), "invalid_input", {"hands.fist_ml"}),
        (amount(hands={"name": "me"}), "invalid_input", {"hands.name"}),
        (amount(phone="me", count=None), "invalid_input", {"phone", "count"}),
    ],
)
def test_an_amount_that_cannot_be_is_named(
    walk: Walk, said: dict[str, Any], code: str, fields: set[str]
) -> None:
    walk.state("open")

    assert set(problem(walk.guess(phone(), said), 422, code)) == fields
    assert walk.tour()["phones"] == 0


def test_next_to_nothing_is_an_amount_and_spoils_no_number_of_the_group(walk: Walk) -> None:
    walk.state("open")
    for count in (1e-308, 0.01, 2, 10_000):
        assert walk.guess(phone(), amount(count)).status_code == 200
    walk.state("revealed")

    group = walk.see().get_json()["stops"][0]["group"]
    assert (group["answers"], group["left_out"]) == (4, 0)
    assert group["nutrients"]["energy"]["values"] == [0, 2, 300, 1_500_000]


@pytest.mark.parametrize("count", ["NaN", "Infinity", "-Infinity", "1e999", "1" + "0" * 400])
def test_a_count_that_no_database_holds_is_named(walk: Walk, count: str) -> None:
    walk.state("open")
    body = f'{{"phone": "{phone()}", "measure": "fist", "count": {count}}}'
    path = f"/api/join/{walk.code}/stops/{walk.stop()}/guess"
    response = walk.client.put(path, data=body, content_type="application/json")

    assert response.status_code == 422, response.get_json()
    assert set(response.get_json()["error"]["fields"]) == {"count"}
    assert walk.tour()["phones"] == 0


@pytest.mark.parametrize("lang", LANGUAGES)
def test_an_ended_tours_code_takes_nothing_more_and_says_so(walk: Walk, lang: str) -> None:
    who = phone()
    walk.state("open")
    walk.guess(who, amount(1))
    stop = walk.stop()
    walk.lead("POST", "/end")
    path, client = f"/api/join/{walk.code}", walk.client
    pour = {"phone": who, "round": "before", "measure": "fist", "measured": 250}

    for response in (
        client.get(f"{path}?lang={lang}"),
        client.get(f"{path}/mine?phone={who}&lang={lang}"),
        client.put(f"{path}/phone?lang={lang}", json={"phone": phone()}),
        client.put(f"{path}/stops/{stop}/guess?lang={lang}", json={"phone": who} | amount(2)),
        client.put(f"{path}/practice?lang={lang}", json=pour),
    ):
        problem(response, 404, "no_tour")
        assert ("código" in response.get_json()["error"]["message"]) is (lang == "es")
    now = walk.tour()
    assert (now["phones"], now["practised"]["before"], now["stops"][0]["answered"]) == (1, 0, 1)


def test_own_hands_count_and_are_all_that_is_kept_of_them(walk: Walk, store: Store) -> None:
    walk.state("open")
    walk.guess(phone(), amount(hands={"hand_breadth_mm": 90}))

    with store.reading() as db:
        assert db.scalar(text("SELECT hands FROM guess")) == '{"hand_breadth_mm": 90.0}'


# practising


def test_a_pour_takes_the_place_of_the_one_before_in_its_round(walk: Walk) -> None:
    who = phone()
    assert walk.practise(who, 360).get_json() == {
        "practice": {"round": "before", "measure": "fist", "measured": 360}
    }
    walk.practise(who, 300)
    walk.practise(who, 250, "after")
    walk.practise(who, 20, "before", "thumb")

    assert [tuple(pour.values()) for pour in walk.mine(who)["practice"]] == [
        ("before", "fist", 300),
        ("after", "fist", 250),
        ("before", "thumb", 20),
    ]
    assert walk.tour()["practised"] == {"before": 1, "after": 1}


def test_what_nobody_pours_is_named(walk: Walk) -> None:
    body = {"phone": "me", "round": "x", "measure": "cup"}
    response = walk.client.put(f"/api/join/{walk.code}/practice", json=body)

    assert set(problem(response, 422, "invalid_input")) == {"phone", "round", "measure", "measured"}


def test_a_phone_that_is_not_known_has_said_nothing(walk: Walk) -> None:
    assert walk.mine(phone()) == {"guesses": [], "practice": []}
    response = walk.client.get(f"/api/join/{walk.code}/mine?phone={phone()}")
    assert response.headers["Cache-Control"] == "no-store"


# many at once


def together(steps: list[Any]) -> list[object]:
    """Run every step at once, each in a thread of its own; return what each returned or raised."""
    start, results = threading.Barrier(len(steps)), []

    def run(step: Any) -> None:
        start.wait()
        try:
            results.append(step())
        except ShelfcheckError as error:
            results.append(error.code)

    threads = [threading.Thread(target=run, args=(step,)) for step in steps]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(results) == len(steps)
    return results


@pytest.fixture
def made(store: Store) -> lead.Made:
    made = lead.make(store, plan_from_json(plan_json(stop_json(), stop_json("Other"))))
    for stop in made.tour["stops"]:
        lead.set_state(store, made.token, stop["id"], "open")
    return made


def test_of_many_phones_at_once_no_answer_is_lost_or_doubled(store: Store, made: lead.Made) -> None:
    code, phones = made.tour["code"], [phone() for _ in range(25)]
    stops = [stop["id"] for stop in made.tour["stops"]]

    def say(who: str, stop: int) -> Any:
        return lambda: join.guess(store, code, stop, {"phone": who} | amount(1 + phones.index(who)))

    together([say(who, stop) for who in phones for stop in stops for _ in range(2)])
    for stop in stops:
        lead.set_state(store, made.token, stop, "revealed")
    now = lead.read(store, made.token)
    assert now["phones"] == 25
    for stop in now["stops"]:
        assert stop["answered"] == 25
        assert stop["group"]["amounts"][0]["values"] == list(range(1, 26))


def test_one_phone_that_sends_many_answers_at_once_has_one(store: Store, made: lead.Made) -> None:
    code, stop, who = made.tour["code"], made.tour["stops"][0]["id"], str(uuid.uuid4())
    pour = {"phone": who, "round": "before", "measure": "fist"}
    steps: list[Any] = [
        lambda n=n: join.guess(store, code, stop, {"phone": who} | amount(n)) for n in range(1, 11)
    ]
    steps += [lambda n=n: join.practise(store, code, pour | {"measured": 200 + n}) for n in range(10)]
    steps += [lambda: join.enter(store, code, {"phone": who})] * 5

    results = together(steps)
    assert not any(isinstance(result, str) for result in results)
    now = lead.read(store, made.token)
    assert (now["phones"], now["stops"][0]["answered"], now["practised"]["before"]) == (1, 1, 1)
    mine = join.mine(store, code, {"phone": who})
    assert mine["guesses"][0]["guess"]["count"] in range(1, 11)


def test_an_answer_that_meets_the_reveal_is_in_time_or_late_and_never_both(
    store: Store, made: lead.Made
) -> None:
    code, stop = made.tour["code"], made.tour["stops"][0]["id"]
    steps: list[Any] = [
        lambda n=n: join.guess(store, code, stop, {"phone": phone()} | amount(n)) for n in range(1, 21)
    ]
    steps.insert(10, lambda: lead.set_state(store, made.token, stop, "revealed"))
    results = together(steps)

    late = sum(isinstance(result, dict) and result.get("late") is True for result in results)
    group = lead.read(store, made.token)["stops"][0]["group"]
    assert (group["answers"], group["late"]) == (20, late)
    assert group["amounts"][0]["values"] == list(range(1, 21))
