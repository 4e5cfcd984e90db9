"""What waitress answers by itself, said as the service says it.

A request that never reaches the application (no HTTP, too large, headers without end) or that broke beneath
it gets the same shape of error, the same headers and a line in the log.
"""

from __future__ import annotations

from secrets import token_hex

import orjson
from waitress.task import ErrorTask
from werkzeug.datastructures import LanguageAccept
from werkzeug.http import parse_accept_header

from shelfcheck.service.logs import REQUEST, log_request
from shelfcheck.service.problems import refused
from shelfcheck.service.security import ALWAYS, NOT_KEPT
from shelfcheck.words import DEFAULT, LANGUAGES


class Refusal(ErrorTask):  # type: ignore[misc]  # waitress ships no types
    """One such answer."""

    def execute(self) -> None:
        """Send it, and end the connection."""
        error = self.request.error
        asked = parse_accept_header(self.request.headers.get("ACCEPT_LANGUAGE", ""), LanguageAccept)
        body = orjson.dumps(refused(error.code, asked.best_match(LANGUAGES) or DEFAULT))
        identity = token_hex(16)
        known = REQUEST.set(identity)
        log_request("none", "none", error.code, 0, len(body))
        REQUEST.reset(known)
        self.status = f"{error.code} {error.reason}"
        kind = ("Content-Type", "application/json")
        self.response_headers.extend((kind, *ALWAYS, NOT_KEPT, ("X-Request-ID", identity)))
        self.set_close_on_finish()
        self.content_length = len(body)
        self.write(body)
