"""What a proxy says of a request is believed of the proxies that are trusted, and of nobody else.

The nearest proxy alone is heard: the last value of ``X-Forwarded-For``, ``-Proto``, ``-Host`` and
``-Prefix``. Servers that change these headers on their own are told not to (serve.py).
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from flask import Flask
from werkzeug.middleware.proxy_fix import ProxyFix

from shelfcheck.service.networks import is_in, read_networks

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIEnvironment

_BELIEVED = "shelfcheck.believed"


def register(app: Flask, trusted_proxies: str) -> None:
    """Have ``app`` see the address, scheme, host and prefix that a trusted proxy tells.

    Raises:
        ValueError: when something in ``trusted_proxies`` is no address and no network.
    """
    trusted = read_networks("trusted_proxies", trusted_proxies)
    if not trusted:
        return
    direct = app.wsgi_app
    behind = ProxyFix(direct, x_for=1, x_proto=1, x_host=1, x_prefix=1)

    def answer(environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        if not is_in(trusted, environ.get("REMOTE_ADDR", "")):
            return direct(environ, start_response)
        environ[_BELIEVED] = True
        return behind(environ, start_response)

    app.wsgi_app = answer  # type: ignore[method-assign]  # Flask's own way to wrap an application


def forwarded_unbelieved(environ: WSGIEnvironment) -> bool:
    """Tell whether a request was passed on by somebody whose word on its address is not taken."""
    if "HTTP_FORWARDED" in environ:  # no proxy is heard by this header
        return True
    return "HTTP_X_FORWARDED_FOR" in environ and _BELIEVED not in environ
