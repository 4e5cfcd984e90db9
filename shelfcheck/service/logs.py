"""The log: one JSON line for each request and each problem, on standard error.

No line tells who asked or what was said: no address, no browser, no path, no query, no body, no token. A
route stands in it as its template (``/api/join/<code>``), an error as its type and frames without its
message, which may hold what a person typed. Of other libraries only the place is told that spoke.
"""

from __future__ import annotations

import logging
import re
import sys
from collections.abc import Iterator
from contextlib import suppress
from contextvars import ContextVar
from datetime import UTC, datetime
from pathlib import Path
from threading import Lock
from traceback import walk_tb
from typing import Any

import orjson

REQUEST: ContextVar[str] = ContextVar("shelfcheck_request", default="")
"""The id of the request that is being answered, else nothing."""
LEVELS = ("auto", "info", "warning", "error")
_OURS = "shelfcheck"
_OTHERS = ("waitress", "py.warnings")
_FRAMES = 20
"""The innermost frames are told; an endless recursion has a thousand. Judgement."""
_CAUSES = 3
_ROOT = Path(__file__).parent.parent.parent
_WARNED = re.compile(r"(?P<file>.+?):(?P<line>\d+): (?P<kind>\w+)")
_log = logging.getLogger(_OURS)
_writing = Lock()


def set_up(level: str) -> None:
    """Write the log of this process from ``level`` on, in place of what was set before.

    Args:
        level: one of ``LEVELS``; with "auto", a terminal shows problems alone, and a file or a pipe gets
            each request too.

    Raises:
        ValueError: when it is none of them.
    """
    if level not in LEVELS:
        raise ValueError(f'The setting log must be one of {", ".join(LEVELS)}, not "{level}".')
    if level == "auto":
        level = "warning" if sys.stderr.isatty() else "info"
    least = getattr(logging, level.upper())
    logging.captureWarnings(capture=True)
    for name in (_OURS, *_OTHERS):
        logger = logging.getLogger(name)
        logger.handlers = [each for each in logger.handlers if not isinstance(each, _Lines)] + [_Lines()]
        logger.setLevel(least if name == _OURS else max(least, logging.WARNING))


def log_request(method: str, route: str, status: int, seconds: float, size: int) -> None:
    """Write the line of a request: a problem when the fault is ours.

    Args:
        method: how it asked.
        route: the template of what it asked for.
        status: of the answer.
        seconds: from the request to the answer.
        size: bytes of the answer's body.
    """
    level, name = (logging.WARNING, "warning") if status >= 500 else (logging.INFO, "info")
    if _log.isEnabledFor(level):  # no record is made of it: that costs more than the line
        _write(
            {
                "time": datetime.now(UTC),
                "level": name,
                "event": "request",
                "method": method,
                "route": route,
                "status": status,
                "ms": round(seconds * 1000, 1),
                "bytes": size,
                "id": REQUEST.get(),
            }
        )


def log_error(event: str) -> None:
    """Write the exception that is being handled: its type and where it came from."""
    _log.exception(event)


class _Lines(logging.Handler):
    """Writes each record as one line."""

    def emit(self, record: logging.LogRecord) -> None:
        """Write one record."""
        line: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC),
            "level": record.levelname.lower(),
        }
        line |= _ours(record) if record.name == _OURS else _of_others(record)
        if identity := REQUEST.get():
            line["id"] = identity
        if record.exc_info and record.exc_info[1]:
            line |= _described(record.exc_info[1])
        _write(line)


def _write(line: dict[str, Any]) -> None:
    """Write to what is standard error at the time; where that is closed, nobody reads the log."""
    text = orjson.dumps(line, default=str, option=orjson.OPT_UTC_Z | orjson.OPT_APPEND_NEWLINE).decode()
    with suppress(OSError, ValueError), _writing:
        sys.stderr.write(text)


def _ours(record: logging.LogRecord) -> dict[str, Any]:
    told: dict[str, Any] = record.__dict__.get("told", {})
    return {"event": record.getMessage()} | told


def _of_others(record: logging.LogRecord) -> dict[str, Any]:
    """Tell where another library spoke; its words may hold a path or an address."""
    if record.name == "py.warnings" and (warned := _WARNED.match(record.getMessage())):
        place = f"{_short(warned['file'])}:{warned['line']}"
        return {"event": "warning", "error": warned["kind"], "place": place}
    place = f"{_short(record.pathname)}:{record.lineno}:{record.funcName}"
    return {"event": f"notice of {record.name}", "place": place}


def _described(error: BaseException) -> dict[str, Any]:
    frames = [
        f"{_short(frame.f_code.co_filename)}:{line}:{frame.f_code.co_name}"
        for frame, line in walk_tb(error.__traceback__)
    ]
    causes = [type(cause).__name__ for cause in _causes(error)]
    told = {"error": type(error).__name__, "frames": frames[-_FRAMES:]}
    return told | ({"causes": causes} if causes else {})


def _causes(error: BaseException) -> Iterator[BaseException]:
    for _ in range(_CAUSES):
        inner = error.__cause__ or error.__context__
        if inner is None:
            return
        yield inner
        error = inner


def _short(file: str) -> str:
    """Return a file as it is named in its package, without where this machine keeps that."""
    path = Path(file)
    if path.is_relative_to(_ROOT):
        path = path.relative_to(_ROOT)
    *_, inside = path.as_posix().rpartition("site-packages/")
    return inside if not Path(inside).is_absolute() else "/".join(path.parts[-2:])
