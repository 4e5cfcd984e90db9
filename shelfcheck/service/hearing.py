"""A request that is refused early is heard to its end first, so that its sender hears the answer.

Our own server has the whole body before the service sees it. gunicorn hands it on as it comes: a connection
that is answered and closed in the midst of a photo breaks, and what the answer said is lost.
"""

from __future__ import annotations

import socket
from collections.abc import Iterable
from contextlib import suppress
from typing import TYPE_CHECKING

from flask import Flask

if TYPE_CHECKING:
    from _typeshed.wsgi import InputStream, StartResponse, WSGIEnvironment

HEARD = 4
"""A body up to so many times as large as a photo may be is heard to its end, then refused. Judgement."""
_AS_IT_COMES = "gunicorn.socket"
"""What a request has whose server hands its body on as it comes."""
_CHUNK = 65_536
_SILENT_SECONDS = 10.0
"""Longest wait for more of a body that nobody will use. Judgement."""


def register(app: Flask, most: int) -> None:
    """Have ``app`` hear what is left of a body, up to ``most`` bytes, before it is answered."""
    inner = app.wsgi_app

    def answer(environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        answered = inner(environ, start_response)
        connection = environ.get(_AS_IT_COMES)
        if isinstance(connection, socket.socket):
            connection.settimeout(_SILENT_SECONDS)
            with suppress(Exception):  # gunicorn raises what it likes; whatever it was, the answer stands
                _hear(environ["wsgi.input"], most)
        return answered

    app.wsgi_app = answer  # type: ignore[method-assign]  # Flask's own way to wrap an application


def _hear(body: InputStream, most: int) -> None:
    while most > 0 and (heard := body.read(min(_CHUNK, most))):
        most -= len(heard)
