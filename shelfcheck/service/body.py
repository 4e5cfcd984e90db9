"""JSON bodies in, and how routes describe what they take and answer."""

from __future__ import annotations

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
        UnsupportedMediaType: when it is not sent as JSON.
        BadJsonError: when it is no JSON object; numbers of thousands of digits and endless nesting too.
        marshmallow.ValidationError: with every fault by its field.
    """
    if not request.is_json:
        raise UnsupportedMediaType
    try:
        body = current_app.json.loads(request.get_data())
    except (ValueError, RecursionError) as error:
        raise BadJsonError(say("error.bad_json", language())) from error
    if not isinstance(body, dict):
        raise BadJsonError(say("error.bad_json", language()))
    loaded: dict[str, Any] = schema.load(body)
    return loaded


def described(answer: type[Schema], *problems: HTTPStatus, body: Any = None) -> dict[str, Any]:
    """Return a route's part of the OpenAPI document: its body (schema or content by type), its answers."""
    content = body if isinstance(body, dict) else {_JSON: {"schema": body}}
    answers = {200: (answer, HTTPStatus.OK)} | {int(status): (ProblemSchema, status) for status in problems}
    responses = {
        str(code): {"description": status.phrase, "content": {_JSON: {"schema": schema}}}
        for code, (schema, status) in answers.items()
    }
    taken = {} if body is None else {"requestBody": {"required": True, "content": content}}
    return {"responses": responses, **taken}
