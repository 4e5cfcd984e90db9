"""What is known of who sent a request beside what they sent: whether they still wait, and from where."""

from __future__ import annotations

import ipaddress
import select
import socket
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from _typeshed.wsgi import WSGIEnvironment

DROPPED = "HTTP_X_SHELFCHECK_DROPPED"
"""Set by our server on a request whose body was not kept; whoever sends it is told the same as they are."""


def was_dropped(environ: WSGIEnvironment) -> bool:
    """Tell whether the server did not keep the body, for too many were on their way."""
    return DROPPED in environ


def client_left(environ: WSGIEnvironment) -> Callable[[], bool]:
    """Return what tells whether the client of a request closed the connection meanwhile.

    waitress and gunicorn are asked in their own ways; of another server it is never known.
    """
    told = environ.get("waitress.client_disconnected")
    if callable(told):
        return lambda: bool(told())
    connection = environ.get("gunicorn.socket")
    if isinstance(connection, socket.socket):
        return lambda: _is_closed(connection)
    return lambda: False


def is_own(address: str) -> bool:
    """Tell whether an address is this machine's own."""
    try:
        return ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False


def _is_closed(connection: socket.socket) -> bool:
    try:
        if not select.select([connection], [], [], 0)[0]:
            return False
        return connection.recv(1, socket.MSG_PEEK) == b""
    except (OSError, ValueError):
        return True
