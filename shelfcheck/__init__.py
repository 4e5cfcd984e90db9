"""Shelfcheck: the real numbers of a Nutrition Facts panel for the amount a person will really eat."""

__version__ = "0.1.0"
