"""A plain balancer of TCP connections, each to the next service in turn: ``balancer PORT BACKEND_PORT...``.

One thread, no looking into what passes. A connection stays with its service; who is gone is passed over.
"""

from __future__ import annotations

import contextlib
import itertools
import selectors
import socket
import sys

_CHUNK = 65_536


def balance(port: int, backends: list[int]) -> None:
    """Pass connections on until the process is ended."""
    turns, waiting = itertools.cycle(backends), selectors.DefaultSelector()
    with socket.create_server(("127.0.0.1", port), backlog=1024) as listener:
        waiting.register(listener, selectors.EVENT_READ, None)
        while True:
            for key, _ in waiting.select():
                if key.data is None:
                    _pair(waiting, listener.accept()[0], turns, len(backends))
                elif isinstance(key.fileobj, socket.socket) and key.fileobj.fileno() >= 0:
                    _pass_on(waiting, key.fileobj, key.data)  # else its other end closed it just now


def _pair(
    waiting: selectors.BaseSelector, phone: socket.socket, turns: itertools.cycle[int], tries: int
) -> None:
    for _ in range(tries):
        with contextlib.suppress(OSError):
            service = socket.create_connection(("127.0.0.1", next(turns)))
            waiting.register(phone, selectors.EVENT_READ, service)
            waiting.register(service, selectors.EVENT_READ, phone)
            return
    phone.close()


def _pass_on(waiting: selectors.BaseSelector, source: socket.socket, target: socket.socket) -> None:
    try:
        content = source.recv(_CHUNK)
        if content:
            target.sendall(content)
            return
    except OSError:
        pass
    for end in (source, target):
        waiting.unregister(end)
        end.close()


if __name__ == "__main__":
    balance(int(sys.argv[1]), [int(port) for port in sys.argv[2:]])
