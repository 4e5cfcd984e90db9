"""What may speak against a reading that is still ``sure``: the bars that reconciling sets.

They were chosen on drawn photographs (``python -m tests.bench.photos risk``): looser ones say no more, and
wrongly so.
"""

from __future__ import annotations

from dataclasses import dataclass

LIKELY = 1.0
"""At this weight and above a reading does not stand by itself."""


@dataclass(frozen=True, slots=True)
class Bars:
    """Weights, as in ``numerals.weight``.

    ``likely``: at this and above a reading does not stand by itself. ``provable``: nor does it when a percent
    proves it. ``spotless``: nor when it is an odd amount. ``margin``: two ways to read a field that are
    closer than this are not told apart. ``alone``: the confidence at which an amount needs no percent, and at
    which one that fits only nearly is believed.
    """

    likely: float = LIKELY
    provable: float = 2.2
    spotless: float = 0.2
    margin: float = 1.5
    alone: float = 0.97

    def scaled(self, looseness: float) -> Bars:
        """Return bars that let pass so much more, or less; the margin is the other way round."""
        return Bars(
            self.likely * looseness,
            self.provable * looseness,
            self.spotless * looseness,
            self.margin / looseness,
            1 - (1 - self.alone) * looseness,
        )


BARS = Bars()
