"""Requests that change something are refused when another site's page sends them.

Browsers say where a request comes from: ``Sec-Fetch-Site`` on https and localhost, else ``Origin``. What
tells neither is no browser, and carries nobody's rights.
"""

from __future__ import annotations

from urllib.parse import urlsplit

from flask import Flask, request

from shelfcheck.errors import CrossSiteError
from shelfcheck.service.language import language
from shelfcheck.words import say

_READING = frozenset(("GET", "HEAD", "OPTIONS"))
_OWN = ("same-origin", "none")
"""From our own page, or from the person: typed, shared by the phone."""
_PORTS = {"http": ":80", "https": ":443"}


def register(app: Flask) -> None:
    """Refuse such requests to any route of ``app``."""
    app.before_request(refuse_strangers)


def refuse_strangers() -> None:
    """Let the request pass unless another site's page sends it.

    Raises:
        CrossSiteError: when one does.
    """
    if request.method in _READING:
        return
    site = request.headers.get("Sec-Fetch-Site")
    if site is not None:
        passes = site in _OWN
    else:
        origin = request.headers.get("Origin")
        passes = origin is None or _host(origin) == request.host.lower()
    if not passes:
        raise CrossSiteError(say("error.cross_site", language()))


def _host(origin: str) -> str | None:
    """Return an origin's host, with its port where that is not the usual one; None where it names none."""
    try:
        parts = urlsplit(origin)
    except ValueError:
        return None
    return parts.netloc.lower().removesuffix(_PORTS.get(parts.scheme, "")) or None
