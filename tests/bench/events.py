"""Server-sent events beside the routes of tours, to hold against asking: ``events PORT URL THREADS``.

Only for the bench. Each watcher holds a thread of the server; one more thread asks the database for the
version and wakes them, since another service may have changed the tour.
"""

from __future__ import annotations

import http.client
import sys
import threading
import time
from collections.abc import Iterator

import waitress
from flask import Flask, Response

from shelfcheck.service import create_app
from shelfcheck.service.tour_access import EXTENSION
from tests.bench.tour_service import Tour

THREADS = 8
"""As many as the service has; those that watch come on top."""
_ASKED_EACH = 0.25


def events_app(url: str) -> Flask:
    """Return the service with ``/events/CODE``, which tells each new version of a tour."""
    app = create_app({"db": url})
    news, versions = threading.Condition(), dict[str, str]()

    def ask() -> None:
        from shelfcheck.tours import join

        while True:
            time.sleep(_ASKED_EACH)
            found = {code: join.version(app.extensions[EXTENSION](), code) for code in list(versions)}
            with news:
                versions.update(found)
                news.notify_all()

    threading.Thread(target=ask, daemon=True).start()

    @app.get("/events/<code>")
    def events(code: str) -> Response:
        def tell() -> Iterator[str]:
            told = ""
            versions.setdefault(code, "")
            while True:
                with news:
                    while versions[code] == told:
                        news.wait()
                    told = versions[code]
                yield f"data: {told}\n\n"

        return Response(tell(), mimetype="text/event-stream")

    return app


def watch(tour: Tour, over: float) -> bool:
    """Hold a stream until ``over`` and load the tour at each new version; tell whether the reveal came."""
    connection = http.client.HTTPConnection("127.0.0.1", tour.service.port, timeout=30)
    try:
        connection.request("GET", f"/events/{tour.code}")
        stream = connection.getresponse()
        while time.monotonic() < over:
            line = stream.readline()
            if not line:
                return False
            if line.startswith(b"data: ") and tour.see()[1]["stops"][0]["state"] == "revealed":
                return True
    except (OSError, http.client.HTTPException):
        pass
    finally:
        connection.close()
    return False


if __name__ == "__main__":
    waitress.serve(
        events_app(sys.argv[2]), port=int(sys.argv[1]), threads=int(sys.argv[3]), connection_limit=1000
    )
