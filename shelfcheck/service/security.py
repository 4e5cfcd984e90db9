"""The headers that every answer carries."""

from __future__ import annotations

from flask import Flask, Response, request

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


def register(app: Flask) -> None:
    """Add the headers to each answer of ``app``."""

    @app.after_request
    def add_headers(response: Response) -> Response:
        headers = response.headers
        for name, value in _HEADERS.items():
            headers.setdefault(name, value)
        if request.path.startswith("/api/docs"):
            headers["Content-Security-Policy"] = _DOCS_POLICY
        if request.path.startswith("/api/") and "Cache-Control" not in headers:
            headers["Cache-Control"] = "no-store"
        return response
