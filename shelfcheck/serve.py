"""``shelfcheck serve``: the service under waitress, with its address and a QR code for the phone."""

from __future__ import annotations

import socket
import sys
from collections.abc import Mapping
from typing import Any

import segno
import waitress
from flask import Flask

from shelfcheck.service import create_app, pages
from shelfcheck.service.tour_access import EXTENSION
from shelfcheck.settings import load_settings

_EVERYWHERE = ("0.0.0.0", "::")  # noqa: S104 - compared with, not listened on
_PORT_TAKEN = 3
_PORTS = range(65_536)  # beyond it, some systems count on from 0


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
        server = _listen(app, settings, host, port)
    except (OSError, OverflowError, ValueError) as error:
        print(f"Cannot listen on {host}:{port} ({error}). Choose another with --port.", file=sys.stderr)
        return _PORT_TAKEN
    pages.prepare(app)
    if not app.extensions[EXTENSION].prepare():
        print("Tours cannot be kept just now: look at --db. All else works.", file=sys.stderr)
    _announce(host, int(server.effective_port))
    server.run()  # until Ctrl-C
    print("Stopped.")
    return 0


def _listen(app: Flask, settings: Mapping[str, int | float | str], host: str, port: int) -> Any:
    """Return the server, its port taken.

    Raises:
        OSError, OverflowError, ValueError: when there is no such host or port, or it is taken.
    """
    if port not in _PORTS:
        raise OverflowError("there is no such port")
    return waitress.create_server(
        app,
        host=host,
        port=port,
        threads=int(settings["threads"]),
        max_request_body_size=int(settings["max_photo_bytes"]),
        inbuf_overflow=int(settings["max_photo_bytes"]) + 1,  # a photo never spills to disk
        ident=None,
    )


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
