"""Watches each request: gives it an id, writes its line, counts it, and answers where nothing else did."""

from __future__ import annotations

from collections.abc import Iterable
from secrets import token_hex
from time import perf_counter
from typing import TYPE_CHECKING, Any

import orjson
from flask import Flask

from shelfcheck.service.logs import REQUEST, log_error, log_request
from shelfcheck.service.metrics import Metrics
from shelfcheck.service.problems import refused
from shelfcheck.words import DEFAULT

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIEnvironment

_METHODS = frozenset(("GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS", "PATCH"))
_NO_ROUTE = "none"
_FAILED = "500 Internal Server Error"


def register(app: Flask, metrics: Metrics) -> None:
    """Watch every request of ``app``; its answer tells the id as ``X-Request-ID``."""
    inner = app.wsgi_app

    def answer(environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        began = perf_counter()
        identity = token_hex(16)  # what a client sends as its id is not looked at
        known = REQUEST.set(identity)
        status, route, size = _FAILED, _NO_ROUTE, 0

        def start(given: str, headers: list[tuple[str, str]], *rest: Any) -> Any:
            nonlocal status, route, size
            status, route, size = given, _route(environ), _size(environ, headers)
            headers.append(("X-Request-ID", identity))
            return start_response(given, headers, *rest)

        try:
            return inner(environ, start)
        except Exception:  # noqa: BLE001 - the last to see it: else the server would write the path and a trace
            log_error("unexpected error beneath the routes")
            body = orjson.dumps(refused(500, DEFAULT))
            start(_FAILED, [("Content-Type", "application/json"), ("Content-Length", str(len(body)))])
            return [body]
        finally:
            seconds = perf_counter() - began
            method = environ["REQUEST_METHOD"]
            if method not in _METHODS:
                method = "other"
            log_request(method, route, int(status[:3]), seconds, size)
            metrics.count_request(method, route, int(status[:3]), seconds)
            REQUEST.reset(known)

    app.wsgi_app = answer  # type: ignore[method-assign]  # Flask's own way to wrap an application


def _route(environ: WSGIEnvironment) -> str:
    """Return the template of the route that answers; Flask has it for as long as it answers."""
    rule = getattr(environ.get("werkzeug.request"), "url_rule", None)
    return _NO_ROUTE if rule is None else str(rule.rule)


def _size(environ: WSGIEnvironment, headers: list[tuple[str, str]]) -> int:
    """Return the bytes of the answer's body."""
    if environ["REQUEST_METHOD"] == "HEAD":
        return 0
    return next((int(value) for name, value in headers if name == "Content-Length"), 0)
