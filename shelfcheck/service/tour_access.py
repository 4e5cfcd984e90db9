"""What the routes of tours share: the store, opened at its first use; the lead's token; versions as ETags.

Nothing here loads the database's libraries before a tour is asked for.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Callable, Mapping
from concurrent.futures import Future
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from flask import Response, current_app, jsonify, request

from shelfcheck.errors import NoTourError, ShelfcheckError, StoreError, TooManyError, TourEndedError
from shelfcheck.service.language import language
from shelfcheck.service.logs import log_error
from shelfcheck.service.rates import MINUTE, Rate
from shelfcheck.words import LANGUAGES, say

if TYPE_CHECKING:
    from shelfcheck.tours.store import Store

_HOUR = 60 * MINUTE
EXTENSION = "shelfcheck_tours"
"""The name by which an application holds its ``Opener``."""
_HOPELESS_SECONDS = 0.1
"""Longest wait for a database that did not answer the last time. Judgement."""
_KEPT_BY = "private, no-cache"
"""A browser may keep the answer for itself, and asks each time whether it changed."""


class Opener:
    """Opens the store that the settings name, once; calling it returns the store.

    ``makes`` and ``wrong_codes`` count what each address does.
    """

    def __init__(self, settings: Mapping[str, Any]) -> None:
        self._url, self._days = str(settings["db"]), int(settings["tour_days"])
        self.makes = Rate(int(settings["tour_makes_per_hour"]), _HOUR)
        self.wrong_codes = Rate(int(settings["wrong_codes_per_minute"]), MINUTE)
        self._store: Store | None = None
        self._opening = threading.Lock()
        self._asked: Future[bool] | None = None
        self._answered = True
        self._asking = threading.Lock()

    def __call__(self) -> Store:
        """Return the store, tidied within the last hour.

        Raises:
            ValueError: when the setting ``db`` is no URL that can be used.
        """
        from shelfcheck.tours import keeping

        store = self._opened()
        keeping.tidy(store)
        return store

    def _opened(self) -> Store:
        from shelfcheck.tours.store import Store

        with self._opening:
            if self._store is None:
                self._store = Store(self._url, self._days)
            return self._store

    def answers(self, seconds: float) -> bool:
        """Tell whether the store answers within ``seconds``; however many ask, it is asked once at a time.

        Once it did not, nobody waits so long for it until it has answered again.
        """
        with self._asking:
            asked = self._asked
            if asked is None or asked.done():
                self._asked = asked = Future()
                threading.Thread(target=self._ask, args=(asked,), daemon=True).start()
        try:
            return asked.result(seconds if self._answered else _HOPELESS_SECONDS)
        except TimeoutError:
            self._answered = False
            return False

    def _ask(self, asked: Future[bool]) -> None:
        answered = False
        try:
            answered = self._opened().answers()
        except Exception:  # noqa: BLE001 - a thread of its own has nobody else to tell
            log_error("the database of tours cannot be asked")
        self._answered = answered
        asked.set_result(answered)

    def prepare(self) -> bool:
        """Open the store and bring its tables to the newest form; tell whether that could be done.

        Raises:
            ValueError: when the setting ``db`` is no URL that can be used.
        """
        store = self()
        with suppress(StoreError):
            store.prepare()
            return True
        return False


def store() -> Store:
    """Return the store of the application that answers this request."""
    return _opener()()


def count_make() -> None:
    """Count that a tour is made.

    Raises:
        TooManyError: when the address has made as many as it may for now.
    """
    wait = _opener().makes.take(_address())
    if wait:
        raise TooManyError(say("error.too_many_tours", language(), minutes=math.ceil(wait / MINUTE)), wait)


def counted(error: NoTourError) -> ShelfcheckError:
    """Return what a wrong code is answered: that it is none, or that too many came from this address.

    The code of an ended tour does not count: a whole class may still ask for it.
    """
    if isinstance(error, TourEndedError):
        return error
    wait = _opener().wrong_codes.take(_address())
    return TooManyError(say("error.too_many_codes", language()), wait) if wait else error


def token() -> str:
    """Return the token that the request carries as ``Authorization: Bearer TOKEN``, or nothing."""
    given = request.authorization
    return (given.token or "") if given is not None and given.type == "bearer" else ""


def unless_known(version: Callable[[], str], answer: Callable[[], Mapping[str, Any]]) -> Response:
    """Return ``answer`` with its version as ETag, or 304 when the asker has this ``version``."""
    now = version()
    if request.if_none_match.contains_weak(now):
        return _versioned(Response(status=304), now)
    return versioned(answer())


def versioned(answer: Mapping[str, Any]) -> Response:
    """Return a tour as JSON, its version as ETag."""
    return _versioned(jsonify(answer), str(answer["version"]))


def has_version(version: str) -> bool:
    """Tell whether the request's If-Match names this version."""
    return request.if_match.contains_weak(version)


def lang_of(raw: Mapping[str, Any]) -> str:
    """Return the language that a request's body asks for, else that of the request."""
    asked = raw.get("lang")
    return asked if isinstance(asked, str) and asked in LANGUAGES else language()


def _opener() -> Opener:
    found: Opener = current_app.extensions[EXTENSION]
    return found


def _address() -> str:
    return request.remote_addr or ""


def _versioned(response: Response, version: str) -> Response:
    response.set_etag(version)
    response.headers["Cache-Control"] = _KEPT_BY
    response.vary.add("Authorization")
    return response
