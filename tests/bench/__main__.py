"""Speed, as ratios measured in one run: ``python -m tests.bench``. Ratios travel; microseconds do not.

- a portion in the core, in microseconds (bar: 100);
- ``POST /api/portions`` against a bare Flask route (bar: 0.7 of its requests per second);
- ``shelfcheck eat`` on a JSON panel against ``python -c "import json"`` (bar: 3 times its seconds).
"""

from __future__ import annotations

import sys

from tests.bench import core, service, starting


def main() -> int:
    """Print each measurement beside its bar; return 1 when one of them misses it."""
    measured = (core.measure(), service.measure(), starting.measure())
    for line, kept in measured:
        sys.stdout.write(f"{'ok    ' if kept else 'MISSED'} {line}\n")
    return 0 if all(kept for _, kept in measured) else 1


if __name__ == "__main__":
    sys.exit(main())
