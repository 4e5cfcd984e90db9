"""A request that is refused early is heard to its end first, so that its sender hears the answer.

Our own server has the whole body before the service sees it. gunicorn hands it on as it comes: a connection
that is answered and closed in the midst of a photo breaks, and what the answer said is lost.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from flask import Flask

if TYPE_CHECKING:
    from _typeshed.wsgi import InputStream, StartResponse, WSGIEnvironment

HEARD = 4
"""A body up to so many times as large as a photo may be is heard to its end, then refused. Judgement."""
_AS_IT_COMES = "gunicorn.socket"
"""What a request has whose server hands its body on as it comes."""
_CHUNK = 65_536


def register(app: Flask, most: int) -> None:
    """Have ``app`` hear what is left of a body, up to ``most`` bytes, before it is answered."""
    inner = app.wsgi_app

    def answer(environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        answered = inner(environ, start_response)
        if _AS_IT_COMES in environ:
            _hear(environ["wsgi.input"], most)
        return answered

    app.wsgi_app = answer  # type: ignore[method-assign]  # Flask's own way to wrap an application


def _hear(body: InputStream, most: int) -> None:
    while most > 0 and (heard := body.read(min(_CHUNK, most))):
        most -= len(heard)
