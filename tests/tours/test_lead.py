"""What an educator does with her tour, over HTTP and in the core."""

from __future__ import annotations

import threading
from typing import Any

import pytest
from flask.testing import FlaskClient

from shelfcheck import errors
from shelfcheck.tours import lead
from shelfcheck.tours.plan import plan_from_json
from shelfcheck.tours.store import Store
from shelfcheck.words import LANGUAGES
from tests.test_service import problem
from tests.tours.walking import Walk, amount, phone, plan_json, stop_json


def document(tour: dict[str, Any]) -> dict[str, Any]:
    """Return the plan of a tour, as the page sends it back."""
    parts = ("id", "name", "question", "measure", "food", "panel")
    plan = {key: tour[key] for key in ("title", "lang", "held_on", "meal_carbohydrate_g", "show_plan")}
    return plan | {"stops": [{part: stop[part] for part in parts} for stop in tour["stops"]]}


# making


def test_a_tour_is_made_of_a_plan(client: FlaskClient) -> None:
    response = client.post(
        "/api/tours", json=plan_json(held_on="2026-12-05", meal_carbohydrate_g=45, show_plan=True)
    )

    assert response.status_code == 201
    made = response.get_json()
    assert set(made) == {"token", "code", "tour"}
    tour = made["tour"]
    assert tour["code"] == made["code"]
    assert (tour["title"], tour["lang"], tour["meal_carbohydrate_g"], tour["show_plan"]) == (
        "Shelf walk",
        "en",
        45,
        True,
    )
    assert tour["held_on"] == "2026-12-05"
    assert (tour["phones"], tour["practised"], tour["ended"]) == (0, {"before": 0, "after": 0}, False)
    stop = tour["stops"][0]
    assert (stop["name"], stop["state"], stop["answered"], stop["group"]) == ("Granola", "waiting", 0, None)
    assert response.headers["Cache-Control"] == "no-store"


@pytest.mark.parametrize("lang", LANGUAGES)
def test_the_sample_is_made_in_the_language_asked_for(client: FlaskClient, lang: str) -> None:
    tours = [
        client.post("/api/tours/sample", json={"lang": lang}).get_json()["tour"],
        client.post(f"/api/tours/sample?lang={lang}", json={}).get_json()["tour"],
        client.post(f"/api/tours/sample?lang={lang}", json={"lang": ["xx"]}).get_json()["tour"],
    ]

    assert [tour["lang"] for tour in tours] == [lang] * 3
    assert len({tour["code"] for tour in tours}) == 3


@pytest.mark.parametrize("lang", LANGUAGES)
def test_the_faults_of_a_plan_are_told_by_their_paths(client: FlaskClient, lang: str) -> None:
    bad = plan_json(stop_json(name=""), title=5)
    response = client.post(f"/api/tours?lang={lang}", json=bad)

    assert set(problem(response, 422, "invalid_input")) == {"title", "stops.0.name"}
    assert ("Corrija" in response.get_json()["error"]["message"]) is (lang == "es")
    problem(client.post("/api/tours", data="{", content_type="application/json"), 400, "bad_request")
    problem(client.post("/api/tours", data="{}", content_type="text/plain"), 415, "wrong_type")


def test_twenty_stops_fit_into_a_request(walk: Walk) -> None:
    tour = walk.tour()
    plan = document(tour) | {"stops": [stop | {"id": None} for stop in document(tour)["stops"]] * 4}

    response = walk.replace(plan)
    assert response.status_code == 200
    again = walk.replace(document(response.get_json()))
    assert again.status_code == 200
    assert len(again.get_json()["stops"]) == 20


def test_a_code_that_is_taken_is_drawn_again(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    drawn = iter(["bamituko", "bamituko", "bamituko", "dorinalu"])
    monkeypatch.setattr(lead, "new_code", lambda: next(drawn))
    plan = plan_from_json(plan_json())

    assert [lead.make(store, plan).tour["code"] for _ in range(2)] == ["bami-tuko", "dori-nalu"]


# the token


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("GET", ""),
        ("PUT", ""),
        ("DELETE", ""),
        ("POST", "/stops/1/state"),
        ("POST", "/copy"),
        ("POST", "/link"),
        ("POST", "/end"),
        ("GET", "/report"),
        ("GET", "/report.csv"),
    ],
)
@pytest.mark.parametrize("header", [None, "Bearer", "Bearer x", "Basic dTpw", "Bearer \u00e9", "nonsense"])
def test_without_the_token_nothing_opens(walk: Walk, method: str, path: str, header: str | None) -> None:
    body = document(walk.tour()) if method == "PUT" else {"state": "open"} if method == "POST" else None
    headers = {} if header is None else {"Authorization": header}
    response = walk.client.open(f"/api/tours/mine{path}", method=method, json=body, headers=headers)

    problem(response, 401, "dead_link")
    assert response.headers["WWW-Authenticate"] == "Bearer"
    assert walk.tour()["title"]


def test_a_new_link_kills_the_old_one_at_once(walk: Walk) -> None:
    before, old = walk.tour(), walk.token
    fresh = walk.lead("POST", "/link").get_json()
    assert set(fresh) == {"token"}

    problem(walk.lead("GET"), 401, "dead_link")
    problem(walk.lead("POST", "/link"), 401, "dead_link")
    walk.token = fresh["token"]
    assert walk.token != old
    assert walk.tour()["stops"] == before["stops"]
    assert walk.see().status_code == 200


# seeing


def test_who_has_the_version_is_told_that_nothing_changed(walk: Walk) -> None:
    response = walk.lead("GET")
    etag = response.headers["ETag"]
    assert etag == f'"{response.get_json()["version"]}"'
    assert response.headers["Cache-Control"] == "private, no-cache"
    assert "Authorization" in response.headers["Vary"]

    same = walk.lead("GET", headers={"If-None-Match": etag})
    assert (same.status_code, same.data, same.headers["ETag"]) == (304, b"", etag)
    assert walk.lead("GET", headers={"If-None-Match": f"W/{etag}"}).status_code == 304
    walk.client.put(f"/api/join/{walk.code}/phone", json={"phone": phone()})
    changed = walk.lead("GET", headers={"If-None-Match": etag})
    assert changed.status_code == 200
    assert changed.get_json()["phones"] == 1


def test_polling_is_one_query_and_no_arithmetic(walk: Walk, monkeypatch: pytest.MonkeyPatch) -> None:
    from sqlalchemy import event

    from shelfcheck.service.tour_access import EXTENSION
    from shelfcheck.tours import views

    walk.state("open")
    walk.guess(phone())
    walk.state("revealed")
    asked: list[str] = []
    engine = walk.client.application.extensions[EXTENSION]()._engine
    lead_tag, phone_tag = walk.lead("GET").headers["ETag"], walk.see().headers["ETag"]
    event.listen(engine, "before_cursor_execute", lambda *args: asked.append(args[2]))
    monkeypatch.setattr(views, "build_group", None)

    assert walk.lead("GET", headers={"If-None-Match": lead_tag}).status_code == 304
    assert walk.see(**{"If-None-Match": phone_tag}).status_code == 304
    assert len([query for query in asked if query.startswith("SELECT")]) == 2
    assert walk.see().status_code == 200  # the group's numbers are remembered


# changing


def test_a_plan_is_replaced_stops_keep_their_ids_and_answers(walk: Walk) -> None:
    walk.state("open", 1)
    walk.guess(phone(), place=1)
    tour = walk.tour()
    plan = document(tour)
    plan["title"] = "New"
    plan["stops"] = [plan["stops"][1] | {"question": "Really?"}, stop_json("Fresh"), plan["stops"][0]]

    response = walk.replace(plan)
    assert response.status_code == 200
    now = response.get_json()
    assert response.headers["ETag"] == f'"{now["version"]}"'
    assert now["title"] == "New"
    assert [stop["name"] for stop in now["stops"]] == ["White rice", "Fresh", "Toasted oat rings"]
    assert [now["stops"][0]["id"], now["stops"][2]["id"]] == [tour["stops"][1]["id"], tour["stops"][0]["id"]]
    assert now["stops"][0]["answered"] == 1
    assert now["stops"][0]["state"] == "open"
    assert now["stops"][0]["question"] == "Really?"
    assert now == walk.tour()


def test_a_plan_made_from_an_older_version_is_refused_and_nothing_is_lost(walk: Walk) -> None:
    old = walk.tour()
    assert walk.replace(document(old) | {"title": "First"}).status_code == 200
    response = walk.replace(document(old) | {"title": "Second"}, old["version"])

    assert response.status_code == 409
    told = response.get_json()
    assert told["error"]["code"] == "tour_changed"
    assert told["tour"] == walk.tour()
    assert told["tour"]["title"] == "First"
    assert response.headers["ETag"] == f'"{told["tour"]["version"]}"'
    blind = walk.lead("PUT", json=document(old))
    assert blind.status_code == 409
    anyhow = walk.lead(
        "PUT", json=document(told["tour"]), headers={"If-Match": f'"{told["tour"]["version"]}"'}
    )
    assert anyhow.status_code == 200


def test_the_same_plan_again_is_no_change(walk: Walk) -> None:
    tour = walk.tour()

    assert walk.replace(document(tour)).get_json() == tour


def test_a_plan_sent_again_because_its_answer_got_lost_is_taken_once(walk: Walk) -> None:
    old = walk.tour()
    plan = document(old) | {"title": "New"}
    plan["stops"] = [stop_json("Fresh"), *plan["stops"][1:]]
    first = walk.replace(plan, old["version"])
    again = walk.replace(plan, old["version"])
    assert (again.status_code, again.get_json()) == (200, first.get_json())
    assert again.headers["ETag"] == first.headers["ETag"]

    walk.state("open")  # what came between stays
    now = walk.replace(plan, old["version"])
    assert (now.status_code, now.get_json()) == (200, walk.tour())
    assert now.get_json()["stops"][0]["state"] == "open"
    assert len(now.get_json()["stops"]) == 5


@pytest.mark.parametrize("part", ["title", "meal", "name", "panel", "order", "left out", "one more", "id"])
def test_a_plan_that_differs_in_anything_is_not_taken_for_one_sent_again(walk: Walk, part: str) -> None:
    old = walk.tour()
    plan = document(walk.replace(document(old) | {"title": "New"}).get_json())
    stops = plan["stops"]
    if part == "title":
        plan["title"] = "Newer"
    elif part == "meal":
        plan["meal_carbohydrate_g"] = 61
    elif part == "name":
        stops[2]["name"] = "Other"
    elif part == "panel":
        stops[2]["panel"]["nutrients"]["energy"]["value"] += 10
    elif part == "order":
        stops.reverse()
    elif part == "left out":
        stops.pop()
    elif part == "one more":
        stops.append(stop_json())
    else:
        stops[0]["id"], stops[1]["id"] = stops[1]["id"], stops[0]["id"]

    response = walk.replace(plan, old["version"])
    assert response.status_code == 409
    assert response.get_json()["tour"] == walk.tour()


def test_what_one_window_opens_the_other_cannot_undo_by_saving(walk: Walk) -> None:
    old = walk.tour()
    walk.state("open")
    walk.guess(phone())

    refused = walk.replace(document(old) | {"title": "Other window"}, old["version"])
    assert refused.status_code == 409
    stop = refused.get_json()["tour"]["stops"][0]
    assert (stop["state"], stop["answered"]) == ("open", 1)


def test_windows_that_press_and_save_at_once_lose_no_press(store: Store) -> None:
    made = lead.make(store, plan_from_json(plan_json(*[stop_json(f"Stop {n}") for n in range(6)])))
    stops, start = [stop["id"] for stop in made.tour["stops"]], threading.Barrier(14)
    failed: list[BaseException] = []

    def press(stop: int) -> None:
        start.wait()
        try:
            lead.set_state(store, made.token, stop, "open")
        except BaseException as error:  # noqa: BLE001 - a thread's error must be seen
            failed.append(error)

    def save(number: int) -> None:
        plan = plan_from_json(document(made.tour) | {"title": f"Window {number}"})
        start.wait()
        try:
            lead.replace(store, made.token, plan, lambda now: now == made.tour["version"])
        except errors.TourChangedError:
            pass
        except BaseException as error:  # noqa: BLE001 - as above
            failed.append(error)

    threads = [threading.Thread(target=press, args=(stop,)) for stop in stops * 2]
    threads += [threading.Thread(target=save, args=(number,)) for number in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert failed == []
    now = lead.read(store, made.token)
    assert {stop["state"] for stop in now["stops"]} == {"open"}
    saved = now["title"] != made.tour["title"]
    assert now["version"].endswith(f"-{1 + len(stops) + saved}")  # each press once, however often it came


def test_of_windows_that_save_at_once_one_wins(store: Store) -> None:
    made = lead.make(store, plan_from_json(plan_json()))
    version, results = made.tour["version"], []
    start = threading.Barrier(8)

    def save(number: int) -> None:
        plan = plan_from_json(document(made.tour) | {"title": f"Window {number}"})
        start.wait()
        try:
            results.append(lead.replace(store, made.token, plan, lambda now: now == version)["title"])
        except errors.TourChangedError:
            results.append("refused")

    threads = [threading.Thread(target=save, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert len(results) == 8
    assert results.count("refused") == 7
    assert lead.read(store, made.token)["title"] in results


def test_a_stop_of_another_tour_is_refused(walk: Walk) -> None:
    other = Walk.begin(walk.client)
    plan = document(walk.tour())
    plan["stops"][2]["id"] = other.stop()

    assert set(problem(walk.replace(plan), 422, "invalid_input")) == {"stops.2.id"}
    state = walk.lead("POST", f"/stops/{other.stop()}/state", json={"state": "open"})
    problem(state, 404, "no_stop")
    problem(walk.lead("POST", "/stops/99999999999999999999/state", json={"state": "open"}), 404, "no_stop")
    assert other.tour()["stops"][0]["state"] == "waiting"


def test_a_stop_left_out_goes_with_its_answers(walk: Walk) -> None:
    who = phone()
    walk.state("open")
    walk.guess(who)
    plan = document(walk.tour())
    gone = plan["stops"].pop(0)["id"]

    assert len(walk.replace(plan).get_json()["stops"]) == 4
    assert walk.mine(who) == {"guesses": [], "practice": []}
    late = walk.client.put(f"/api/join/{walk.code}/stops/{gone}/guess", json={"phone": who} | amount())
    problem(late, 404, "no_stop")


def test_a_corrected_panel_corrects_the_groups_numbers(walk: Walk) -> None:
    walk.state("open")
    walk.guess(phone(), amount(2))
    walk.state("revealed")
    assert walk.tour()["stops"][0]["group"]["nutrients"]["energy"]["values"] == [300]
    plan = document(walk.tour())
    plan["stops"][0]["panel"]["nutrients"]["energy"]["value"] = 160

    now = walk.replace(plan).get_json()
    assert now["stops"][0]["group"]["nutrients"]["energy"]["values"] == [320]
    assert walk.see().get_json()["stops"][0]["group"] == now["stops"][0]["group"]


# states


def test_states_change_freely_until_the_group_has_seen_its_amounts(walk: Walk) -> None:
    for state in ("open", "waiting", "closed", "open", "revealed", "open"):
        response = walk.state(state)
        assert response.status_code == 200
        assert response.get_json()["stops"][0]["state"] == state
    assert {stop["state"] for stop in walk.tour()["stops"][1:]} == {"waiting"}
    walk.state("open", 1)
    assert walk.tour()["stops"][0]["state"] == "open"  # opening one closes no other

    walk.guess(phone())
    for state in ("revealed", "closed", "waiting"):
        assert walk.state(state).status_code == 200
        problem(walk.state("open"), 409, "stop_shown")
    assert walk.state("revealed").get_json()["stops"][0]["group"]["answers"] == 1


def test_the_same_state_again_changes_nothing(walk: Walk) -> None:
    first = walk.state("open")
    again = walk.state("open")

    assert again.status_code == 200
    assert again.get_json() == first.get_json()


@pytest.mark.parametrize("state", [None, "shut", 5, ["open"]])
def test_a_state_that_is_none_is_named(walk: Walk, state: object) -> None:
    response = walk.lead("POST", f"/stops/{walk.stop()}/state", json={"state": state})

    assert set(problem(response, 422, "invalid_input")) == {"state"}


def test_a_result_stays_shown_when_the_stop_is_closed(walk: Walk) -> None:
    walk.state("open")
    walk.guess(phone())
    walk.state("closed")
    assert walk.tour()["stops"][0]["group"] is None

    walk.state("revealed")
    walk.state("closed")
    assert walk.tour()["stops"][0]["group"]["answers"] == 1
    assert walk.see().get_json()["stops"][0]["group"]["answers"] == 1
    walk.state("waiting")
    assert walk.tour()["stops"][0]["group"] is None


# copying, ending, deleting


def test_a_copy_has_the_plan_and_nobodys_answers(walk: Walk) -> None:
    walk.state("open")
    walk.guess(phone())
    walk.practise(phone(), 300)
    response = walk.lead("POST", "/copy")

    assert response.status_code == 201
    made = response.get_json()
    tour, copy = walk.tour(), made["tour"]
    assert made["token"] != walk.token
    assert copy["code"] != tour["code"]
    without_ids = [{**stop, "id": None} for stop in document(copy)["stops"]]
    assert without_ids == [{**stop, "id": None} for stop in document(tour)["stops"]]
    assert (copy["phones"], copy["practised"]["before"]) == (0, 0)
    assert {(stop["state"], stop["answered"]) for stop in copy["stops"]} == {("waiting", 0)}
    assert tour["stops"][0]["answered"] == 1


def test_an_ended_tour_lets_no_phone_in_and_keeps_its_report(walk: Walk) -> None:
    who = phone()
    walk.state("open")
    walk.guess(who)
    ended = walk.lead("POST", "/end").get_json()
    assert ended["ended"] is True
    assert walk.lead("POST", "/end").get_json() == ended

    problem(walk.see(), 404, "no_tour")
    problem(walk.guess(who), 404, "no_tour")
    assert walk.lead("GET", "/report").get_json()["stops"][0]["group"]["answers"] == 1


def test_a_deleted_tour_is_gone_at_once(walk: Walk) -> None:
    response = walk.lead("DELETE")

    assert (response.status_code, response.data) == (204, b"")
    problem(walk.lead("GET"), 401, "dead_link")
    problem(walk.lead("DELETE"), 401, "dead_link")
    problem(walk.see(), 404, "no_tour")
