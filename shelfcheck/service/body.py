"""JSON bodies in, and how routes describe what they take and answer."""

from __future__ import annotations

from collections.abc import Mapping
from http import HTTPStatus
from typing import Any

from flask import current_app, request
from marshmallow import Schema
from werkzeug.exceptions import UnsupportedMediaType

from shelfcheck.errors import BadJsonError
from shelfcheck.service.language import language
from shelfcheck.service.schemas import ProblemSchema
from shelfcheck.words import say

_JSON = "application/json"
PHOTOS = {
    kind: {"schema": {"type": "string", "format": "binary"}}
    for kind in ("image/jpeg", "image/png", "image/webp")
}


def read_body(schema: Schema) -> dict[str, Any]:
    """Return the request's JSON body as ``schema`` loads it.

    Raises:
        UnsupportedMediaType, BadJsonError: see ``read_object``.
        marshmallow.ValidationError: with every fault by its field.
    """
    loaded: dict[str, Any] = schema.load(read_object())
    return loaded


def read_object() -> dict[str, Any]:
    """Return the request's JSON body as it is, for the core to read.

    Raises:
        UnsupportedMediaType: when it is not sent as JSON.
        BadJsonError: when it is no JSON object; numbers of thousands of digits and endless nesting too.
    """
    if not request.is_json:
        raise UnsupportedMediaType
    try:
        body = current_app.json.loads(request.get_data())
    except (ValueError, RecursionError) as error:
        raise BadJsonError(say("error.bad_json", language())) from error
    if not isinstance(body, dict):
        raise BadJsonError(say("error.bad_json", language()))
    return body


def described(
    answer: type[Schema] | None,
    *problems: HTTPStatus,
    body: Any = None,
    status: HTTPStatus = HTTPStatus.OK,
    others: Mapping[HTTPStatus, type[Schema]] | None = None,
    unchanged: bool = False,
) -> dict[str, Any]:
    """Return a route's part of the OpenAPI document.

    Args:
        answer: the schema of what it answers, None for an answer without content.
        problems: with which statuses it answers errors.
        body: the schema of what it takes, or its content by type.
        status: the status of its answer.
        others: schemas of answers with other statuses.
        unchanged: whether it answers 304 to who has this version.
    """
    content = body if isinstance(body, dict) else {_JSON: {"schema": body}}
    answers = {status: answer} | dict.fromkeys(problems, ProblemSchema) | dict(others or {})
    if unchanged:
        answers[HTTPStatus.NOT_MODIFIED] = None
    responses = {
        str(int(code)): {"description": code.phrase}
        | ({"content": {_JSON: {"schema": schema}}} if schema else {})
        for code, schema in answers.items()
    }
    taken = {} if body is None else {"requestBody": {"required": True, "content": content}}
    return {"responses": responses, **taken}
