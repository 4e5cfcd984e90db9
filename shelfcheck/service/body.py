"""The JSON body of a request, and blueprints that read it so."""

from __future__ import annotations

import json
from typing import Any

import flask_smorest
from flask import Request
from webargs.flaskparser import FlaskParser
from werkzeug.exceptions import UnsupportedMediaType

from shelfcheck.errors import BadJsonError
from shelfcheck.service.language import language
from shelfcheck.words import say


class _JsonParser(FlaskParser):
    """Answers every body that is not JSON with a sentence.

    What webargs leaves to chance are numbers of thousands of digits, nesting without end, and bodies of
    other types, which it takes for empty ones.
    """

    def _raw_load_json(self, req: Request) -> Any:
        if not req.is_json:
            raise UnsupportedMediaType
        try:
            return json.loads(req.get_data())
        except (ValueError, RecursionError) as error:
            raise BadJsonError(say("error.bad_json", language())) from error


class Blueprint(flask_smorest.Blueprint):  # type: ignore[misc]  # flask-smorest ships no types
    """A blueprint whose routes take JSON bodies."""

    ARGUMENTS_PARSER = _JsonParser()
