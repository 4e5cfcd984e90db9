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
_CHANGES_NOTHING = ("pages.share",)
"""Routes that only send their sender on. What a phone's gallery shares must not end in an error."""
_PORTS = {"http": ":80", "https": ":443"}


def register(app: Flask) -> None:
    """Refuse such requests to any route of ``app``."""
    app.before_request(refuse_strangers)


def refuse_strangers() -> None:
    """Let the request pass unless another site's page sends it.

    Raises:
        CrossSiteError: when one does.
    """
    environ = request.environ
    if environ["REQUEST_METHOD"] in _READING:
        return
    if "HTTP_SEC_FETCH_SITE" in environ:
        passes = environ["HTTP_SEC_FETCH_SITE"] in _OWN
    else:
        passes = "HTTP_ORIGIN" not in environ or _host(environ["HTTP_ORIGIN"]) == request.host.lower()
    if not passes and request.endpoint not in _CHANGES_NOTHING:
        raise CrossSiteError(say("error.cross_site", language()))


def _host(origin: str) -> str | None:
    """Return an origin's host, with its port where that is not the usual one; None where it names none."""
    try:
        parts = urlsplit(origin)
    except ValueError:
        return None
    return parts.netloc.lower().removesuffix(_PORTS.get(parts.scheme, "")) or None
