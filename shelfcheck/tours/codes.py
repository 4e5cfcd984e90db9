"""Join codes that are said aloud and typed on a phone, and the lead tokens that open a tour for changes.

A code has four syllables such as ``bami-tuko``. It says who may join, not who may lead: the token does
that, and only its SHA-256 is stored.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import unicodedata
from typing import Any

from shelfcheck import data

_TOKEN_BYTES = 32


def new_code() -> str:
    """Return a random code as it is stored: eight letters without a hyphen."""
    rules = _rules()
    while True:
        syllables = range(int(rules["syllables"]))
        code = "".join(
            secrets.choice(rules["consonants"]) + secrets.choice(rules["vowels"]) for _ in syllables
        )
        if not any(pair in code for pair in rules["avoid"]):
            return code


def shown_code(code: str) -> str:
    """Return a stored code as people read it: ``bami-tuko``."""
    half = len(code) // 2
    return f"{code[:half]}-{code[half:]}"


def typed_code(text: str) -> str | None:
    """Return the stored form of a code as typed, or None when it cannot be one.

    Capitals, accents, hyphens and spaces do not matter, nor do letters that sound like one of ours.
    """
    rules = _rules()
    heard, length = rules["heard_as"], 2 * int(rules["syllables"])
    if len(text) > 8 * length:
        return None
    folded = (c for c in unicodedata.normalize("NFD", text.lower()) if c.isalpha())
    code = "".join(heard.get(c, c) for c in folded)
    letters = (rules["consonants"], rules["vowels"])
    fits = len(code) == length and all(c in letters[place % 2] for place, c in enumerate(code))
    return code if fits else None


def new_token() -> str:
    """Return a random token that opens a tour for changes."""
    return secrets.token_urlsafe(_TOKEN_BYTES)


def token_hash(token: str) -> str:
    """Return what is stored of a token."""
    return hashlib.sha256(token.encode(errors="replace")).hexdigest()


def token_fits(token: str, stored: str) -> bool:
    """Tell in constant time whether ``token`` is the one whose hash is ``stored``."""
    return hmac.compare_digest(token_hash(token), stored)


def phone_hash(tour_id: int, phone: str) -> str:
    """Return what is stored of a phone's random number: it links to nothing outside this one tour."""
    return hashlib.sha256(f"{tour_id}:{phone}".encode()).hexdigest()


def _rules() -> dict[str, Any]:
    rules: dict[str, Any] = data.load("tour_rules.json")["codes"]
    return rules
