"""Every setting of the service in one table: its name, default and help.

Each is an option of ``shelfcheck serve`` and an environment variable: ``--port`` is ``SHELFCHECK_PORT``.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import NamedTuple


class Setting(NamedTuple):
    """A setting; its type is the type of its default, and a number is ``least`` or more."""

    name: str
    default: int | float | str
    help: str
    least: float = 1


SETTINGS = (
    Setting("host", "127.0.0.1", "address to listen on; 0.0.0.0 lets phones on the same network in"),
    Setting("port", 8000, "port to listen on", 0),
    Setting("db", "", "where tours are kept, as a database URL; else a file in the user's data folder"),
    Setting("tour_days", 90, "days that a tour is kept after its last change"),
    Setting("tour_makes_per_hour", 60, "tours that one address may make in an hour"),
    Setting("wrong_codes_per_minute", 60, "wrong join codes that one address may send in a minute"),
    Setting("trusted_proxies", "", "addresses or networks of proxies whose X-Forwarded headers are believed"),
    Setting("metrics_from", "127.0.0.0/8,::1", "addresses or networks that may read /metrics"),
    Setting("log", "auto", "what goes to standard error: info, warning or error and worse; auto for either"),
    Setting("threads", 8, "requests answered at the same time, beside the photos"),
    Setting("max_photo_bytes", 16 * 1024 * 1024, "largest photo taken, in bytes"),
    Setting("max_json_bytes", 64 * 1024, "largest JSON request taken, in bytes"),
    Setting("max_photo_pixels", 60_000_000, "most pixels of a photo, checked before it is decoded"),
    Setting("read_seconds", 25.0, "longest time to read one photo, in seconds", 0.1),
    Setting("reads", max(1, os.cpu_count() or 1), "photos read at the same time; the others wait"),
    Setting("read_wait_seconds", 10.0, 'longest wait for a free reader before the answer is "try again"', 0),
    Setting("reads_waiting", 6, 'photos that wait for a free reader; the next is answered "try again"', 0),
    Setting("max_read_bytes", 480 * 1024 * 1024, "memory that reading one photo may take, in bytes"),
    Setting("photos_per_minute", 120, "photos that one address may send in a minute"),
    Setting("max_body_bytes", 256 * 1024 * 1024, "bytes of photos that may be on their way at the same time"),
    Setting("connections", 800, "phones connected at the same time"),
)


def load_settings(given: Mapping[str, object] | None = None) -> dict[str, int | float | str]:
    """Return every setting: as ``given``, else from the environment, else its default.

    Raises:
        ValueError: naming the setting whose value is not a number where one is needed, or too small.
    """
    values: dict[str, int | float | str] = {}
    for setting in SETTINGS:
        raw = (given or {}).get(setting.name)
        if raw is None:
            raw = os.environ.get(f"SHELFCHECK_{setting.name.upper()}", setting.default)
        try:
            values[setting.name] = type(setting.default)(str(raw))
        except (TypeError, ValueError) as error:
            message = f'The setting {setting.name} must be a number, not "{raw}".'
            raise ValueError(message) from error
        if not isinstance(setting.default, str) and not float(values[setting.name]) >= setting.least:
            raise ValueError(f"The setting {setting.name} must be at least {setting.least:g}, not {raw}.")
    return values
