"""Photographs of invented packs as a phone takes them in an aisle, and a scorer for readers of panels."""
