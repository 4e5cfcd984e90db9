"""``shelfcheck serve``: the service under waitress, with its address and a QR code for the phone."""

from __future__ import annotations

import signal
import socket
import sys
from collections.abc import Mapping
from contextlib import suppress

import segno

from shelfcheck.readers import Pool
from shelfcheck.readers.limits import hand_large_pieces_back
from shelfcheck.server import Server
from shelfcheck.service import create_app, pages
from shelfcheck.service.parts import READERS
from shelfcheck.service.tour_access import EXTENSION
from shelfcheck.settings import load_settings

_EVERYWHERE = ("0.0.0.0", "::")  # noqa: S104 - compared with, not listened on
_PORT_TAKEN = 3


def serve(given: Mapping[str, object]) -> int:
    """Serve until stopped; return the exit status. ``given`` holds settings by name."""
    try:
        settings = load_settings(given)
    except ValueError as error:
        print(error, file=sys.stderr)
        return 2
    host, port = str(settings["host"]), int(settings["port"])
    try:
        app = create_app(settings)
    except ValueError as error:
        print(error, file=sys.stderr)
        return 2
    try:
        server = Server(app, settings)
    except (OSError, OverflowError, ValueError) as error:
        print(f"Cannot listen on {host}:{port} ({error}). Choose another with --port.", file=sys.stderr)
        return _PORT_TAKEN
    hand_large_pieces_back()
    pages.prepare(app)
    _start(app.extensions[READERS])
    if not app.extensions[EXTENSION].prepare():
        _warn("Tours cannot be kept just now: look at --db. All else works.")
    with suppress(OSError):  # what it writes to may be a file on a full disk
        _announce(host, server.port)
    signal.signal(signal.SIGTERM, lambda *_: server.stop())
    server.run()  # until Ctrl-C, or until the system ends it
    app.extensions[READERS].close()
    print("Stopped.")
    return 0


def _start(readers: Pool) -> None:
    """Start the readers, which also deletes what services that are gone left behind."""
    try:
        readers.start()
    except OSError as error:
        _warn(f"Photos cannot be read just now ({error}). All else works.")


def _warn(sentence: str) -> None:
    """Write to standard error; where its disk is full, nobody reads it."""
    with suppress(OSError):
        print(sentence, file=sys.stderr)


def _announce(host: str, port: int) -> None:
    address = f"http://{_reachable(host)}:{port}/"
    print(f"Shelfcheck is running at {address}  (Ctrl-C stops it)", flush=True)
    if host in _EVERYWHERE:
        print("On a phone in the same network, scan:")
        segno.make(address).terminal(compact=True)
    else:
        print("To open it on a phone in the same network, start it with --host 0.0.0.0", flush=True)


def _reachable(host: str) -> str:
    """Return an address that a phone in the same network can open, where one is known."""
    if host not in _EVERYWHERE:
        return f"[{host}]" if ":" in host else host
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(
                ("192.0.2.1", 9)
            )  # RFC 5737 test address: no packet is sent, it only picks the interface
            return str(probe.getsockname()[0])
        except OSError:
            return "127.0.0.1"
