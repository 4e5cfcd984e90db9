"""Invented food packages with true Nutrition Facts panels, and the press that prints them as pictures."""
