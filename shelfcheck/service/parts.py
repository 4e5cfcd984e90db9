"""What the service knows of the parts that it stands on, where an application has them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from flask import Flask

READERS = "shelfcheck_readers"
"""The name by which an application holds its ``Readers``."""


class Readers(Protocol):
    """What reads photos."""

    def state(self) -> Mapping[str, int]:
        """Return how many there are, by ``readers``, ``busy``, ``waiting`` and ``restarts``."""
        ...

    def ready(self) -> bool:
        """Tell whether a photo can be read now."""
        ...


def readers_of(app: Flask) -> Readers | None:
    """Return what reads photos for ``app``; None where that is part of the request itself."""
    found: Readers | None = app.extensions.get(READERS)
    return found
