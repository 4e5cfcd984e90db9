"""A tour walked in tests: what an educator and her group send, in few words."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from typing import Any

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.making import sample

DAY = 24 * 60 * 60


class Clock:
    """A clock that is put forward by hand."""

    def __init__(self, now: float = 1_900_000_000.0) -> None:
        self.now = now

    def __call__(self) -> float:
        return self.now


def phone() -> str:
    return str(uuid.uuid4())


def stop_json(name: str = "Granola", **more: Any) -> dict[str, Any]:
    panel = {key: sample("fda_sample")[key] for key in ("serving", "nutrients", "food")}
    return {"name": name, "question": "How much?", "measure": "fist", "panel": panel} | more


def plan_json(*stops: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"title": "Shelf walk", "lang": "en", "stops": list(stops) or [stop_json()]} | more


def amount(count: float = 2, measure: str = "fist", **more: Any) -> dict[str, Any]:
    return {"count": count, "measure": measure, **more}


@dataclass
class Walk:
    """A tour over HTTP: the lead's requests carry her token, the phones' the code."""

    client: FlaskClient
    token: str
    code: str

    @classmethod
    def begin(cls, client: FlaskClient, plan: dict[str, Any] | None = None) -> Walk:
        path = "/api/tours/sample" if plan is None else "/api/tours"
        response = client.post(path, json={} if plan is None else plan)
        assert response.status_code == 201, response.get_json()
        made = response.get_json()
        return cls(client, made["token"], made["code"])

    def lead(self, method: str, path: str = "", **more: Any) -> TestResponse:
        headers = {"Authorization": f"Bearer {self.token}"} | more.pop("headers", {})
        return self.client.open(f"/api/tours/mine{path}", method=method, headers=headers, **more)

    def tour(self) -> dict[str, Any]:
        content: dict[str, Any] = self.lead("GET").get_json()
        return content

    def stop(self, place: int = 0) -> int:
        number: int = self.tour()["stops"][place]["id"]
        return number

    def state(self, state: str, place: int = 0) -> TestResponse:
        return self.lead("POST", f"/stops/{self.stop(place)}/state", json={"state": state})

    def replace(self, plan: dict[str, Any], version: str | None = None) -> TestResponse:
        return self.lead("PUT", json=plan, headers={"If-Match": f'"{version or self.tour()["version"]}"'})

    def see(self, **headers: str) -> TestResponse:
        return self.client.get(f"/api/join/{self.code}", headers=headers)

    def guess(self, who: str, said: dict[str, Any] | None = None, place: int = 0) -> TestResponse:
        body = {"phone": who} | (amount() if said is None else said)
        return self.client.put(f"/api/join/{self.code}/stops/{self.stop(place)}/guess", json=body)

    def practise(
        self, who: str, measured: float, turn: str = "before", measure: str = "fist"
    ) -> TestResponse:
        body = {"phone": who, "round": turn, "measure": measure, "measured": measured}
        return self.client.put(f"/api/join/{self.code}/practice", json=body)

    def mine(self, who: str) -> dict[str, Any]:
        content: dict[str, Any] = self.client.get(f"/api/join/{self.code}/mine?phone={who}").get_json()
        return content
