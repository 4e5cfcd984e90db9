"""Which language the asker wants: ``?lang=es``, else the browser's ``Accept-Language``."""

from __future__ import annotations

from flask import request

from shelfcheck.words import DEFAULT, LANGUAGES


def language() -> str:
    """Return the language of this request's sentences."""
    environ = request.environ
    asked = request.args.get("lang") if environ.get("QUERY_STRING") else None
    if asked in LANGUAGES:
        return asked
    if "HTTP_ACCEPT_LANGUAGE" not in environ:
        return DEFAULT
    return request.accept_languages.best_match(LANGUAGES) or DEFAULT
