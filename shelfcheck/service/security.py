"""The headers that every answer carries."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from flask import Flask

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIEnvironment

_POLICY = {
    "default-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self'",
    "img-src": "'self' blob: data:",
    "connect-src": "'self'",
    "manifest-src": "'self'",
    "worker-src": "'self'",
    "base-uri": "'none'",
    "form-action": "'none'",
    "frame-ancestors": "'none'",
}
_HEADERS = {
    "Content-Security-Policy": "; ".join(f"{key} {value}" for key, value in _POLICY.items()),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=(), camera=(self)",
}
_STYLES = f"style-src {_POLICY['style-src']}"
_DOCS_POLICY = _HEADERS["Content-Security-Policy"].replace(_STYLES, f"{_STYLES} 'unsafe-inline'")
ALWAYS = tuple(_HEADERS.items())
"""The headers of every answer, whatever it holds."""
_IN_DOCS = tuple((_HEADERS | {"Content-Security-Policy": _DOCS_POLICY}).items())
NOT_KEPT = ("Cache-Control", "no-store")
"""The header of every answer that does not say how it may be kept."""
_BY_LANGUAGE = ("Vary", "Accept-Language")
_STAY_SECURE = ("Strict-Transport-Security", "max-age=31536000")
"""Browsers come back by https for a year; told only to who came by https."""


def register(app: Flask) -> None:
    """Add the headers to each answer of ``app``, of whatever kind, as the last thing before it leaves."""
    inner = app.wsgi_app

    def answer(environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        path = environ.get("PATH_INFO", "")
        secure = environ["wsgi.url_scheme"] == "https"

        def start(status: str, headers: list[tuple[str, str]], *rest: Any) -> Any:
            headers += _IN_DOCS if path.startswith("/api/docs") else ALWAYS
            if "Cache-Control" not in dict(headers):
                headers.append(NOT_KEPT)
            if path.startswith("/api/"):
                headers.append(_BY_LANGUAGE)
            if secure:
                headers.append(_STAY_SECURE)
            return start_response(status, headers, *rest)

        return inner(environ, start)

    app.wsgi_app = answer  # type: ignore[method-assign]  # Flask's own way to wrap an application
