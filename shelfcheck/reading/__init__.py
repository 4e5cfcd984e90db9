"""A photo of a label to its panel, one room after the other.

decode (bytes -> picture) -> locate (-> panel picture) -> recognise (-> words) -> rows (-> lines) ->
candidates (-> possible values) -> reconcile (-> panel, each field sure, check or missing).
"""

from shelfcheck.reading.engines import engine_for
from shelfcheck.reading.leaf import Engine, Leaf
from shelfcheck.reading.reader import Reading, read_panel
from shelfcheck.reading.tesseract import Tesseract

__all__ = ["Engine", "Leaf", "Reading", "Tesseract", "engine_for", "read_panel"]
