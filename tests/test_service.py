"""The service: every route, every kind of error, and its own description of both."""

import copy
import json
import logging
import re
from typing import Any

import jsonschema
import pytest
from flask.testing import FlaskClient
from jsonschema import Draft202012Validator
from werkzeug.test import TestResponse

from shelfcheck import __version__, errors
from shelfcheck.foods import foods
from shelfcheck.measures import measures
from shelfcheck.portion_json import portion_to_json
from shelfcheck.readers.reader import Reader
from shelfcheck.service import create_app, portions
from shelfcheck.service.parts import READERS
from shelfcheck.words import LANGUAGES
from tests.making import SAMPLES, eat, panel_json, sample

POSTS = ("/api/portions", "/api/panels/check", "/api/panels/read")
GETS = ("/api/health", "/api/measures", "/api/foods", "/api/openapi.json")
FISTS = {"count": 2, "measure": "fist"}
JPEG = b"\xff\xd8\xff"


@pytest.fixture
def query(granola_json: dict[str, Any]) -> dict[str, Any]:
    return {"panel": granola_json, "amount": dict(FISTS)}


@pytest.fixture(scope="module")
def document() -> dict[str, Any]:
    content: dict[str, Any] = create_app().test_client().get("/api/openapi.json").get_json()
    return content


def problem(response: TestResponse, status: int, code: str) -> dict[str, str]:
    """Hold an answer against the one shape of errors and return its fields."""
    content = response.get_json()
    assert response.status_code == status, content
    assert set(content) == {"error"}
    assert set(content["error"]) == {"code", "message", "fields"}
    assert content["error"]["code"] == code
    assert content["error"]["message"]
    assert "{" not in content["error"]["message"]
    assert not any("{" in sentence for sentence in content["error"]["fields"].values())
    assert "Traceback" not in response.get_data(as_text=True)
    fields: dict[str, str] = content["error"]["fields"]
    return fields


def raw(client: FlaskClient, path: str, body: str | bytes, kind: str = "application/json") -> TestResponse:
    return client.post(path, data=body, content_type=kind)


# answers


def test_health_says_that_the_service_is_up(client: FlaskClient) -> None:
    response = client.get("/api/health")

    assert response.status_code == 200
    assert response.get_json() == {"status": "ok", "version": __version__}


def test_a_portion_is_the_cores_answer(client: FlaskClient, query: dict[str, Any]) -> None:
    response = client.post("/api/portions", json=query)

    assert response.status_code == 200
    told = response.get_json()
    assert told == json.loads(json.dumps(portion_to_json(eat("fda_sample", "2 fists", "granola"))))
    assert told["servings"]["value"] == 3
    assert list(told["nutrients"])[:3] == ["energy", "fat", "saturated_fat"]


def test_hands_plan_food_and_coverage_reach_the_portion(client: FlaskClient) -> None:
    query = {
        "panel": sample("white_rice"),
        "amount": {"count": 1, "measure": "puño", "cooked": True},
        "food": "arroz",
        "hands": {"fist_ml": 300},
        "plan": {"meal_carbohydrate_g": 45, "day_sodium_mg": None},
        "coverage": 2,
    }

    told = client.post("/api/portions", json=query).get_json()
    assert told["food"] == "rice_white"
    assert told["grams"]["value"] == 198
    assert told["coverage"] == 2
    assert told["meal_carbohydrate_percent"]["value"] > 0


def test_parts_that_may_be_left_out_may_also_be_null(client: FlaskClient, query: dict[str, Any]) -> None:
    bare = client.post("/api/portions", json=query).get_json()

    nulls = {"food": None, "hands": None, "plan": None}
    assert client.post("/api/portions", json=query | nulls).get_json() == bare


def test_a_typed_panel_comes_back_checked(client: FlaskClient, granola_json: dict[str, Any]) -> None:
    granola_json["nutrients"]["sodium"]["value"] = 1600

    told = client.post("/api/panels/check", json=granola_json).get_json()
    assert told["nutrients"]["sodium"]["state"] == "check"
    assert [doubt["field"] for doubt in told["doubts"]] == ["nutrients.sodium"]
    assert told["nutrients"]["fat"]["state"] == "sure"


def test_a_panel_of_bare_numbers_is_completed(client: FlaskClient) -> None:
    told = client.post("/api/panels/check", json=panel_json("1 cup/240 ml", {"energy": 90})).get_json()

    assert told["nutrients"]["energy"]["state"] == "sure"
    assert told["nutrients"]["fat"]["state"] == "missing"


def test_the_measures_and_foods_are_listed(client: FlaskClient) -> None:
    listed = client.get("/api/measures").get_json()["measures"]

    assert [measure["id"] for measure in listed] == list(measures())
    assert listed[0]["holds"] == [{"amount": 240, "unit": "ml", "for": []}]
    assert [food["id"] for food in client.get("/api/foods").get_json()["foods"]] == list(foods())


def test_the_facts_that_the_page_reckons_with_are_the_services_own(client: FlaskClient) -> None:
    response = client.get("/data/measures.json")

    assert response.status_code == 200
    assert response.mimetype == "application/json"
    assert response.headers["Cache-Control"] == "no-cache"
    assert response.get_json()["label_cup_ml"] == 240


@pytest.mark.parametrize(
    "path",
    ["/data/__init__.py", "/data/../panel.py", "/data/%2e%2e/panel.py", "/modules/../../pyproject.toml"],
)
def test_nothing_beside_the_facts_and_the_page_is_served(client: FlaskClient, path: str) -> None:
    problem(client.get(path), 404, "not_found")


def test_answers_keep_their_accents(client: FlaskClient) -> None:
    assert "puño".encode() in client.get("/api/measures").data


# languages


def test_sentences_are_in_the_language_asked_for(client: FlaskClient, query: dict[str, Any]) -> None:
    english = client.post("/api/portions", json=query).get_json()

    for told in (
        client.post("/api/portions?lang=es", json=query).get_json(),
        client.post("/api/portions", json=query, headers={"Accept-Language": "es-MX,es;q=0.9"}).get_json(),
    ):
        assert told["working"][0] == "2 puños = 2 tazas"
        assert told["nutrients"] == english["nutrients"]
    for lang in ("fr", "xx", ""):
        told = client.post(f"/api/portions?lang={lang}", json=query).get_json()
        assert told["working"] == english["working"]


@pytest.mark.parametrize("lang", LANGUAGES)
def test_faults_are_told_in_the_language_asked_for(client: FlaskClient, lang: str) -> None:
    bad = {"panel": {"serving": 5}, "amount": {"count": -1, "measure": "fist"}}

    message = client.post(f"/api/portions?lang={lang}", json=bad).get_json()["error"]["message"]
    assert ("Corrija" in message) is (lang == "es")
    assert "/nowhere" in client.get(f"/nowhere?lang={lang}").get_json()["error"]["message"]


# what cannot be used


@pytest.mark.parametrize(
    ("change", "code", "fields"),
    [
        ({"amount": None}, "invalid_input", {"amount"}),
        ({"amount": []}, "invalid_input", {"amount"}),
        ({"amount": {"count": "2", "measure": "fist"}}, "invalid_input", {"amount.count"}),
        ({"amount": {"count": True, "measure": "fist"}}, "invalid_input", {"amount.count"}),
        ({"amount": {"count": 2}}, "invalid_input", {"amount.measure"}),
        ({"amount": {"count": 2, "measure": 5}}, "invalid_input", {"amount.measure"}),
        ({"amount": {"count": 2, "measure": "fist", "cooked": "yes"}}, "invalid_input", {"amount.cooked"}),
        ({"amount": {"count": 2, "measure": "fist", "size": 1}}, "invalid_input", {"amount.size"}),
        ({"amount": {"count": -1, "measure": "fist"}}, "bad_amount", {"amount.count"}),
        ({"amount": {"count": 0, "measure": "fist"}}, "bad_amount", {"amount.count"}),
        ({"amount": {"count": 1e300, "measure": "fist"}}, "bad_amount", {"amount.count"}),
        ({"amount": {"count": 2, "measure": "bucket"}}, "unknown_measure", {"amount.measure"}),
        ({"amount": {"count": 2, "measure": ""}}, "unknown_measure", {"amount.measure"}),
        (
            {"amount": {"count": 2, "measure": "fist", "cooked": True}, "panel": panel_json("1 cup")},
            "no_bridge",
            {"food"},
        ),
        ({"panel": None}, "invalid_input", {"panel"}),
        ({"panel": 5}, "invalid_input", {"panel"}),
        ({"panel": {}}, "invalid_input", {"serving", "nutrients"}),
        ({"panel": panel_json("0 cup")}, "invalid_input", {"serving.household_amount"}),
        (
            {"panel": panel_json("1 cup", servings_per_container=0)},
            "invalid_input",
            {"serving.servings_per_container"},
        ),
        ({"panel": panel_json("1 cup", {"fat": -1})}, "invalid_input", {"nutrients.fat"}),
        ({"panel": panel_json("1 cup", {"fat": "8 g"})}, "invalid_input", {"nutrients.fat"}),
        ({"panel": panel_json("1 tbsp/15 g", {"fat": 20})}, "invalid_input", {"nutrients.fat"}),
        ({"panel": panel_json("/28 g")}, "no_bridge", {"food"}),
        ({"panel": panel_json("")}, "no_bridge", {"serving"}),
        ({"food": "unicorn"}, "unknown_food", {"food"}),
        ({"food": "cereal"}, "unknown_food", {"food"}),
        ({"food": 5}, "invalid_input", {"food"}),
        ({"food": ["rice"]}, "invalid_input", {"food"}),
        ({"hands": 5}, "invalid_input", {"hands"}),
        ({"hands": {"fist_ml": "300"}}, "invalid_input", {"hands.fist_ml"}),
        ({"hands": {"fist_ml": 1}}, "invalid_input", {"hands.fist_ml"}),
        ({"hands": {"nose_ml": 30}}, "invalid_input", {"hands.nose_ml"}),
        ({"plan": 5}, "invalid_input", {"plan"}),
        ({"plan": {"fat": 5}}, "invalid_input", {"plan.fat"}),
        ({"plan": {"meal_carbohydrate_g": "45"}}, "invalid_input", {"plan.meal_carbohydrate_g"}),
        ({"plan": {"meal_carbohydrate_g": 0}}, "invalid_input", {"plan.meal_carbohydrate_g"}),
        ({"coverage": 3}, "invalid_input", {"coverage"}),
        ({"coverage": "1"}, "invalid_input", {"coverage"}),
        ({"coverage": 1.5}, "invalid_input", {"coverage"}),
        ({"coverage": True}, "invalid_input", {"coverage"}),
        ({"coverage": None}, "invalid_input", {"coverage"}),
        ({"portion": 1}, "invalid_input", {"portion"}),
    ],
)
def test_what_cannot_be_used_is_named(
    client: FlaskClient, query: dict[str, Any], change: dict[str, Any], code: str, fields: set[str]
) -> None:
    if "panel" in change:
        query.pop("panel")
    response = client.post("/api/portions", json=query | change)

    assert set(problem(response, 422, code)) == fields


def test_all_faults_of_a_portion_are_told_at_once(client: FlaskClient) -> None:
    bad = {
        "panel": panel_json("0 cup/-5 g", {"fat": "8"}),
        "amount": {"count": -1, "measure": "fist"},
        "hands": {"fist_ml": 1},
        "plan": {"day_sodium_mg": 1},
    }

    assert set(problem(client.post("/api/portions", json=bad), 422, "invalid_input")) == {
        "serving.household_amount",
        "serving.metric_amount",
        "nutrients.fat",
        "amount.count",
        "hands.fist_ml",
        "plan.day_sodium_mg",
    }


@pytest.mark.parametrize("path", ["/api/portions", "/api/panels/check"])
@pytest.mark.parametrize(
    "body",
    [
        "",
        "{",
        "[1",
        "null",
        "[]",
        "5",
        '"panel"',
        "NaN",
        '{"panel": }',
        "{'panel': 1}",
        b"\xff\xfe\x00",
        "[" * 30000,
        '{"a":' * 10000,
        '{"panel": ' + "9" * 5000 + "}",
    ],
    ids=lambda body: str(body[:12]),
)
def test_what_is_no_json_object_is_answered_with_400(client: FlaskClient, path: str, body: str) -> None:
    problem(raw(client, path, body), 400, "bad_request")


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e400", "9" * 400])
@pytest.mark.parametrize("field", ["amount.count", "hands.fist_ml", "plan.day_sodium_mg", "coverage"])
def test_numbers_that_are_none_are_named(
    client: FlaskClient, query: dict[str, Any], field: str, number: str
) -> None:
    part, _, key = field.partition(".")
    if key:
        query.setdefault(part, {})[key] = "here"
    else:
        query[part] = "here"

    body = json.dumps(query).replace('"here"', number)
    assert set(raw(client, "/api/portions", body).get_json()["error"]["fields"]) == {field}
    problem(raw(client, "/api/portions", body), 422, "bad_amount" if field == "never" else "invalid_input")


@pytest.mark.parametrize("number", ["NaN", "Infinity", "1e400", "9" * 400, "-1e400"])
def test_numbers_that_are_none_are_named_in_a_panel(
    client: FlaskClient, granola_json: dict[str, Any], number: str
) -> None:
    granola_json["nutrients"]["fat"]["value"] = "here"
    granola_json["serving"]["metric_amount"]["value"] = "here"

    body = json.dumps(granola_json).replace('"here"', number)
    fields = problem(raw(client, "/api/panels/check", body), 422, "invalid_input")
    assert set(fields) == {"nutrients.fat", "serving.metric_amount"}


def test_half_a_surrogate_pair_is_text_like_any_other(
    client: FlaskClient, granola_json: dict[str, Any]
) -> None:
    granola_json["name"] = "\ud800"

    response = client.post("/api/panels/check", json=granola_json)
    assert response.status_code == 200
    assert response.get_json()["name"] == "\ud800"
    query = {"panel": granola_json, "amount": FISTS, "food": "\udfff"}
    problem(client.post("/api/portions", json=query), 422, "unknown_food")


@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", ""]
)
@pytest.mark.parametrize("path", ["/api/portions", "/api/panels/check"])
def test_json_must_say_that_it_is_json(
    client: FlaskClient, query: dict[str, Any], path: str, kind: str
) -> None:
    problem(raw(client, path, json.dumps(query), kind), 415, "wrong_type")


def test_json_beyond_the_limit_is_too_large(client: FlaskClient, query: dict[str, Any]) -> None:
    query["panel"]["serving"]["text"] = "x" * 70_000

    problem(client.post("/api/portions", json=query), 413, "too_large")
    small = create_app({"max_json_bytes": 100}).test_client()
    problem(
        small.post("/api/panels/check", json={"serving": {}, "nutrients": {}, "name": "x" * 100}),
        413,
        "too_large",
    )


def test_a_photo_beyond_the_limit_is_too_large() -> None:
    client = create_app({"max_photo_bytes": 1000}).test_client()

    problem(raw(client, "/api/panels/read", b"x" * 1001, "image/png"), 413, "too_large")


@pytest.mark.parametrize("body", [b"", b"no picture", b"GIF89a", b"\x89PNG\r\n\x1a\n"])
def test_what_is_no_photo_is_answered_with_415(client: FlaskClient, body: bytes) -> None:
    problem(raw(client, "/api/panels/read", body, "image/png"), 415, "bad_photo")


def test_when_every_reader_is_at_work_the_photo_should_come_again(monkeypatch: pytest.MonkeyPatch) -> None:
    app = create_app({"reads": 1, "read_wait_seconds": 0.05})
    answers: list[TestResponse] = []

    def read_slowly(_reader: Reader, _photo: bytes, _lang: str, _left: object) -> dict[str, Any]:
        if not answers:
            answers.append(raw(app.test_client(), "/api/panels/read", JPEG, "image/jpeg"))
        return errors.NotAPanelError("none").to_json() | {"seconds": {}}

    monkeypatch.setattr(Reader, "start", lambda _reader: None)
    monkeypatch.setattr(Reader, "ask", read_slowly)
    try:
        problem(raw(app.test_client(), "/api/panels/read", JPEG, "image/jpeg"), 422, "no_panel")
        problem(answers[0], 503, "busy")
        assert answers[0].headers["Retry-After"] == "5"
        # the reader is free again
        problem(raw(app.test_client(), "/api/panels/read", JPEG, "image/jpeg"), 422, "no_panel")
    finally:
        app.extensions[READERS].close()


@pytest.mark.parametrize("path", POSTS)
@pytest.mark.parametrize("method", ["GET", "PUT", "DELETE", "PATCH"])
def test_a_route_that_takes_posts_takes_nothing_else(client: FlaskClient, path: str, method: str) -> None:
    response = client.open(path, method=method)

    problem(response, 405, "wrong_method")
    assert response.headers["Allow"] == "OPTIONS, POST"


@pytest.mark.parametrize("path", GETS)
def test_a_route_that_answers_takes_no_posts(client: FlaskClient, path: str) -> None:
    problem(client.post(path, json={}), 405, "wrong_method")


@pytest.mark.parametrize("path", ["/api/nothing", "/api/", "/nothing", "/api/panels", "/" + "x" * 3000])
def test_where_nothing_is_the_way_is_shown(client: FlaskClient, path: str) -> None:
    response = client.get(path)

    problem(response, 404, "not_found")
    assert "/api/openapi.json" in response.get_json()["error"]["message"]
    assert len(response.data) < 400


def test_an_error_of_ours_is_logged_and_answered_without_a_trace(
    client: FlaskClient,
    query: dict[str, Any],
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    def fail(*_args: object, **_kwargs: object) -> None:
        raise ZeroDivisionError("secret detail")

    monkeypatch.setattr(portions, "build_portion", fail)
    with caplog.at_level(logging.ERROR, "shelfcheck"):
        response = client.post("/api/portions", json=query)

    problem(response, 500, "unexpected")
    assert "secret" not in response.get_data(as_text=True)
    assert "secret detail" in caplog.text


# every answer


@pytest.mark.parametrize("path", [*GETS, "/api/docs/", "/data/foods.json", "/api/nothing"])
def test_every_answer_carries_the_headers_that_keep_it_safe(client: FlaskClient, path: str) -> None:
    headers = client.get(path).headers

    assert headers["Content-Security-Policy"].startswith("default-src 'none'; script-src 'self';")
    assert "unsafe-eval" not in headers["Content-Security-Policy"]
    assert ("unsafe-inline" in headers["Content-Security-Policy"]) is (path == "/api/docs/")
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "no-referrer"
    assert headers["Cross-Origin-Opener-Policy"] == "same-origin"
    assert "camera=(self)" in headers["Permissions-Policy"]


def test_no_answer_of_the_api_is_kept_on_the_way(client: FlaskClient, query: dict[str, Any]) -> None:
    assert client.post("/api/portions", json=query).headers["Cache-Control"] == "no-store"
    assert client.get("/api/health").headers["Cache-Control"] == "no-store"


# the description


def test_the_description_is_valid_openapi_of_this_version(document: dict[str, Any]) -> None:
    assert document["openapi"] == "3.1.0"
    assert document["info"] == {"title": "Shelfcheck", "version": __version__}
    for name, schema in document["components"]["schemas"].items():
        Draft202012Validator.check_schema(schema)
        assert schema["type"] == "object", name
    for path, operations in document["paths"].items():
        for method, operation in operations.items():
            if method == "parameters":
                continue
            assert operation["summary"], path
            assert {"200", "201", "204"} & set(operation["responses"])


def test_every_reference_in_the_description_leads_somewhere(document: dict[str, Any]) -> None:
    def references(part: Any) -> list[str]:
        if isinstance(part, dict):
            return (
                [part["$ref"]]
                if "$ref" in part
                else [r for inner in part.values() for r in references(inner)]
            )
        return [r for inner in part for r in references(inner)] if isinstance(part, list) else []

    found = references(document)
    assert len(found) > 20
    for reference in found:
        target: Any = document
        for key in reference.removeprefix("#/").split("/"):
            target = target[key]
        assert target


def test_every_route_of_the_api_is_described(document: dict[str, Any]) -> None:
    rules = [str(rule) for rule in create_app().url_map.iter_rules() if str(rule).startswith("/api/")]
    described = {
        re.sub(r"<(?:int:)?(\w+)>", r"{\1}", rule)
        for rule in rules
        if "docs" not in rule and "openapi" not in rule
    }

    assert set(document["paths"]) == described


def check(document: dict[str, Any], path: str, method: str, response: TestResponse) -> None:
    """Hold an answer against the schema that the description gives for its route and status."""
    responses = document["paths"][path][method]["responses"]
    described = responses.get(str(response.status_code)) or responses["default"]
    if "$ref" in described:
        described = document["components"]["responses"][described["$ref"].rpartition("/")[2]]
    schema = described["content"]["application/json"]["schema"]
    jsonschema.validate(response.get_json(), schema | {"components": document["components"]})


@pytest.mark.parametrize("name", sorted(path.stem for path in SAMPLES.glob("*.json")))
def test_every_sample_is_answered_as_described(
    client: FlaskClient, document: dict[str, Any], name: str
) -> None:
    panel = sample(name)

    checked = client.post("/api/panels/check", json=panel)
    assert checked.status_code == 200
    check(document, "/api/panels/check", "post", checked)
    for measure in ("fist", "container", "oz"):
        query = {
            "panel": panel,
            "amount": {"count": 1.5, "measure": measure},
            "plan": {"meal_carbohydrate_g": 45},
        }
        check(document, "/api/portions", "post", client.post("/api/portions", json=query))
    assert client.post("/api/portions", json=query).status_code in (200, 422)


def test_errors_and_lists_are_answered_as_described(client: FlaskClient, document: dict[str, Any]) -> None:
    for path in ("/api/health", "/api/measures", "/api/foods"):
        check(document, path, "get", client.get(path))
    check(document, "/api/portions", "post", client.post("/api/portions", json={}))
    check(document, "/api/panels/check", "post", client.post("/api/panels/check", json={}))
    check(document, "/api/panels/read", "post", raw(client, "/api/panels/read", b"", "image/png"))


def test_a_broken_answer_would_not_pass_as_described(
    client: FlaskClient, document: dict[str, Any], query: dict[str, Any]
) -> None:
    told = client.post("/api/portions", json=query).get_json()
    schema = {"$ref": "#/components/schemas/Portion", "components": document["components"]}

    for part in ("servings", "nutrients", "working", "cautions"):
        broken = copy.deepcopy(told)
        del broken[part]
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(broken, schema)
    broken = copy.deepcopy(told)
    broken["servings"]["low"] = "2.1"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(broken, schema)


def test_the_page_that_shows_the_description_loads_only_files_of_ours(client: FlaskClient) -> None:
    page = client.get("/api/docs/").get_data(as_text=True)

    assert "http://" not in page
    assert "https://" not in page
    assert client.get("/api/docs/start.js").status_code == 200
