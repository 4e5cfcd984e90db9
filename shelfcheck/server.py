"""waitress, with a bound on what is on its way to it and an end that breaks nothing off.

waitress keeps each body until it has come whole, and spills large ones to disk. Here none is spilled: beyond
a sum of bytes, or a photo's own limit, a body is heard to its end but not kept, so that its sender gets a
proper answer and not a broken connection. When it is told to stop, it first answers what has come.
"""

from __future__ import annotations

import select
import sys
import threading
import time
import weakref
from collections.abc import Mapping
from functools import partial
from typing import Any

import waitress
from flask import Flask
from waitress import wasyncore
from waitress.buffers import OverflowableBuffer
from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser
from waitress.server import BaseWSGIServer

from shelfcheck.service.clients import DROPPED
from shelfcheck.service.hearing import HEARD
from shelfcheck.service.refusals import Refusal

_PORTS = range(65_536)  # beyond it, some systems count on from 0
_SILENT_SECONDS = 30
"""A connection on which nothing came for so long is closed. Judgement."""
_UPLOAD_SECONDS = 120.0
"""A body that has not come whole after so long is no longer kept: it takes the room of others. Judgement."""
_END_SECONDS = 10.0
"""Longest time to answer what has come before the end; systemd would wait for 90. Judgement."""
_TURN_SECONDS = 0.5
_LULL_SECONDS = 0.2
"""Who connected may still send their request; after so long a silence nobody will. Judgement."""
_TOGETHER = 18_000
"""Bytes of an answer that are sent together. waitress would send its head by itself, and a service that is
killed right then leaves a proxy with half an answer, which it cannot ask for again."""
_DRIFT_SECONDS = 1.0
"""A clock that goes off by more within a turn was set. Judgement."""


class Budget:
    """Bytes that may be held at the same time."""

    def __init__(self, most: int) -> None:
        self._left = most
        self._taking = threading.Lock()

    def take(self, count: int) -> bool:
        """Take so many bytes; tell whether there were as many."""
        with self._taking:
            if count > self._left:
                return False
            self._left -= count
            return True

    def give(self, count: int) -> None:
        """Give bytes back."""
        with self._taking:
            self._left += count


class Body(OverflowableBuffer):  # type: ignore[misc]  # waitress ships no types
    """A request's body in memory; nothing of it once it is dropped.

    Args:
        budget: gives the bytes beyond the first ``small``, which every request may have.
        small: how many those are.
        most: how large a body may be.
    """

    def __init__(self, budget: Budget, small: int, most: int) -> None:
        super().__init__(sys.maxsize)
        self.heard = 0
        self.dropped = self.crowded = False
        self._began = time.monotonic()
        self._budget, self._small, self._most = budget, small, most
        self._held = [0]
        self._let_go = weakref.finalize(self, _give_all, budget, self._held)

    def append(self, data: bytes) -> None:
        """Keep what came, or drop all of it where there is no room."""
        self.heard += len(data)
        if self.dropped:
            return
        counted = min(len(data), max(0, self.heard - self._small))
        late = time.monotonic() - self._began > _UPLOAD_SECONDS
        self.crowded = late or not self._budget.take(counted)
        if self.crowded or self.heard > self._most:
            self._held[0] += 0 if self.crowded else counted
            self._drop()
            return
        self._held[0] += counted
        super().append(data)

    def close(self) -> None:
        """Let go of all that is held."""
        self._let_go()
        super().close()

    def _drop(self) -> None:
        self.dropped = True
        self.close()
        self.buf, self.strbuf = None, b""


class Parser(HTTPRequestParser):  # type: ignore[misc]
    """Hears a request; of a body that was dropped it tells the size and, where others took the room, that."""

    def __init__(self, make_body: partial[Body], adjustments: Any) -> None:
        super().__init__(adjustments)
        self._make_body = make_body

    def parse_header(self, header_plus: bytes) -> None:
        """Parse the head of the request."""
        super().parse_header(header_plus)
        self.headers.pop(DROPPED.removeprefix("HTTP_"), None)
        if self.body_rcv is not None:
            self.body_rcv.buf = self._make_body()

    def received(self, data: bytes) -> int:
        """Hear more of the request; return how many bytes were its own."""
        count: int = super().received(data)
        body = self.body_rcv.getbuf() if self.body_rcv is not None else None
        if self.completed and isinstance(body, Body) and body.dropped:
            self.headers["CONTENT_LENGTH"] = str(body.heard)
            if body.crowded:
                self.headers[DROPPED.removeprefix("HTTP_")] = "1"
        return count


class Server:
    """The application under waitress, its port taken.

    Raises:
        OSError, OverflowError, ValueError: when there is no such host or port, or it is taken.
    """

    def __init__(self, app: Flask, settings: Mapping[str, Any]) -> None:
        if int(settings["port"]) not in _PORTS:
            raise OverflowError("there is no such port")
        photo = int(settings["max_photo_bytes"])
        reads = int(settings["reads"]) + int(settings["reads_waiting"])
        self._map: dict[int, Any] = {}
        self._server = waitress.create_server(
            app,
            map=self._map,
            host=str(settings["host"]),
            port=int(settings["port"]),
            threads=int(settings["threads"]) + reads,
            max_request_body_size=HEARD * photo + 1,
            connection_limit=int(settings["connections"]),
            channel_timeout=_SILENT_SECONDS,
            cleanup_interval=_SILENT_SECONDS,
            channel_request_lookahead=1,  # so that it is seen when a client leaves
            asyncore_use_poll=True,
            clear_untrusted_proxy_headers=False,  # service/proxy.py decides whom to believe
            ident=None,
        )
        self._server.adj.send_bytes = _TOGETHER  # as an argument waitress warns of it
        budget, small = Budget(int(settings["max_body_bytes"])), int(settings["max_json_bytes"])
        make_body = partial(Body, budget, small, photo)
        parts = {"parser_class": partial(Parser, make_body), "error_task_class": Refusal}
        channel = type("Channel", (HTTPChannel,), parts)
        self._listeners = [found for found in self._map.values() if isinstance(found, BaseWSGIServer)]
        for listener in self._listeners:
            listener.channel_class = channel
        self._stopping = False
        self._apart = _clock_apart()

    @property
    def port(self) -> int:
        """The port it listens on."""
        return int(self._listeners[0].effective_port)

    def run(self) -> None:
        """Answer until ``stop`` is called or Ctrl-C is pressed, then end in good order."""
        try:
            while not self._stopping:
                self._turn()
        except KeyboardInterrupt:
            pass
        self._end()

    def stop(self) -> None:
        """Have ``run`` end; may be called from a signal."""
        self._stopping = True

    def _turn(self, seconds: float = _TURN_SECONDS) -> None:
        before, self._apart = self._apart, _clock_apart()
        if abs(self._apart - before) > _DRIFT_SECONDS:
            self._count_anew()
        wasyncore.loop(timeout=seconds, map=self._map, use_poll=True, count=1)

    def _lets_in(self, listener: Any) -> bool:
        """Let in somebody who has connected already; tell whether there was anybody, and room."""
        before = len(self._map)
        if listener.readable() and select.select([listener.socket], [], [], 0)[0]:
            listener.handle_accept()
        return len(self._map) > before

    def _count_anew(self) -> None:
        """Count every silence from now: waitress goes by the clock, and the clock was set."""
        for found in list(self._map.values()):
            if isinstance(found, HTTPChannel):
                found.last_activity = time.time()
        for listener in self._listeners:
            listener.next_channel_cleanup = 0

    def _end(self) -> None:
        busy_at = time.monotonic()
        until = busy_at + _END_SECONDS
        for listener in self._listeners:
            while self._lets_in(listener) and time.monotonic() < until:
                pass
            listener.accepting = False
            listener.socket.close()
            del self._map[listener._fileno]  # noqa: SLF001 - waitress has no other way to stop listening
        while (now := time.monotonic()) < min(until, busy_at + _LULL_SECONDS):
            if any(map(_is_busy, list(self._map.values()))):
                busy_at = now
            self._turn(_LULL_SECONDS / 4)
        for listener in self._listeners:
            listener.task_dispatcher.shutdown(timeout=1)
        for left in list(self._map.values()):
            left.close()


def _clock_apart() -> float:
    """Return how far the clock is from the count of seconds that nobody can set."""
    return time.time() - time.monotonic()


def _is_busy(found: Any) -> bool:
    """Tell whether a connection waits for an answer, or is about to ask."""
    return isinstance(found, HTTPChannel) and bool(
        found.requests or found.request is not None or found.total_outbufs_len
    )


def _give_all(budget: Budget, held: list[int]) -> None:
    budget.give(held[0])
    held[0] = 0
