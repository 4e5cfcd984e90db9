"""Errors as the service answers them: ``{"error": {"code", "message", "fields"}}`` with a fitting status."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from flask import Flask, request
from marshmallow import ValidationError
from werkzeug.exceptions import HTTPException

from shelfcheck.errors import (
    BusyError,
    DeadLinkError,
    ReaderFailedError,
    ReaderMissingError,
    ShelfcheckError,
    StoreError,
    TooManyError,
    TourChangedError,
)
from shelfcheck.service.language import language
from shelfcheck.service.logs import log_error
from shelfcheck.words import say

_CODES = {400: "bad_request", 404: "not_found", 405: "wrong_method", 413: "too_large", 415: "wrong_type"}
_FAILED = 500
RETRY_SECONDS, _LATER = "5", "60"
"""When to ask again: what is busy, and what failed and had better be typed meanwhile. Judgement."""

Answer = tuple[dict[str, object], int, dict[str, str]]


def register(app: Flask) -> None:
    """Answer every error of ``app`` as JSON, in the asker's language, without a trace."""
    app.register_error_handler(ShelfcheckError, answer_to)
    app.register_error_handler(ValidationError, _schema)
    app.register_error_handler(HTTPException, _http)
    app.register_error_handler(Exception, _unexpected)


def answer_to(error: ShelfcheckError) -> Answer:
    """Return an error of ours as the service answers it."""
    return error.to_json(), error.status, _headers(error)


def _headers(error: ShelfcheckError) -> dict[str, str]:
    if isinstance(error, (BusyError, StoreError)):
        return {"Retry-After": RETRY_SECONDS}
    if isinstance(error, (ReaderFailedError, ReaderMissingError)):
        return {"Retry-After": _LATER}
    if isinstance(error, TooManyError):
        return {"Retry-After": str(error.wait)}
    if isinstance(error, DeadLinkError):
        return {"WWW-Authenticate": "Bearer"}
    return {"ETag": f'"{error.tour["version"]}"'} if isinstance(error, TourChangedError) else {}


def _schema(error: ValidationError) -> Answer:
    lang = language()
    fields = dict(_flatten(error.messages, "", lang))
    return _body(say("error.request_faults", lang), "invalid_input", fields), 422, {}


def _http(error: HTTPException) -> Answer:
    status = error.code or _FAILED
    return refused(status, language(), request.path), status, _allow(error)


def refused(status: int, lang: str, path: str = "") -> dict[str, object]:
    """Return the body of an answer that has no error but its status; a long ``path`` is cut."""
    if status == _FAILED:
        return _body(say("error.unexpected", lang), "unexpected")
    code = _CODES.get(status, "error")
    key = f"error.http_{status}" if status in _CODES else "error.http"
    return _body(say(key, lang, path=path[:80]), code)


def _allow(error: HTTPException) -> dict[str, str]:
    methods = getattr(error, "valid_methods", None)
    return {"Allow": ", ".join(sorted(methods))} if methods else {}


def _unexpected(_error: Exception) -> Answer:
    log_error("unexpected error")
    return refused(_FAILED, language()), _FAILED, {}


def _body(message: str, code: str, fields: Mapping[str, str] | None = None) -> dict[str, object]:
    return {"error": {"code": code, "message": message, "fields": dict(fields or {})}}


def _flatten(faults: object, path: str, lang: str) -> Iterator[tuple[str, str]]:
    """Yield each fault of a schema by its path; schemas name faults by their key in the word files."""
    if isinstance(faults, Mapping):
        for key, inner in faults.items():
            below = path if key == "_schema" else f"{path}.{key}" if path else str(key)
            yield from _flatten(inner, below, lang)
    elif isinstance(faults, list):
        yield path, say(f"fault.{faults[0]}", lang, name=path)
