"""Processes that read photos: what a picture can do to a program, it does to one of these alone.

A photo goes from the service through a pipe to an idle reader (``pool``, ``reader``), is decoded and read
there under limits (``child``, ``limits``), and its panel comes back as JSON. Nothing of it outlives that:
a reader may write in one private folder (``folder``), which is empty after every photo.
"""

from shelfcheck.readers.pool import Answer, Pool, make_pool

__all__ = ["Answer", "Pool", "make_pool"]
