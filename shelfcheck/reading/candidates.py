"""Lines to candidates: for each nutrient what the print may say, each with what speaks against it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from shelfcheck.panel import Box
from shelfcheck.reading.bars import LIKELY
from shelfcheck.reading.numerals import (
    Candidate,
    Token,
    amounts,
    cost_of,
    find_tokens,
    percents,
    ranked,
    weight,
)
from shelfcheck.reading.page import second_look, union
from shelfcheck.reading.rows import Line, Page
from shelfcheck.rules import Nutrient, nutrients


@dataclass(frozen=True, slots=True)
class Field:
    """The candidates of one nutrient in one column, the likeliest first; empty where nothing could be read.

    ``agree`` is false when the print says the amount more than once, in clear but different words.
    """

    id: str
    values: tuple[Candidate, ...]
    percents: tuple[Candidate, ...]
    box: Box
    agree: bool = True


@dataclass(frozen=True, slots=True)
class Fields:
    """Every nutrient's candidates: the panel's own column, then those beside it by their kind."""

    own: dict[str, Field]
    columns: dict[str, dict[str, Field]]
    energy_from_fat: bool = False


def find_fields(page: Page) -> Fields:
    """Return the candidates of every nutrient that a line names."""
    own: dict[str, Field] = {}
    others: dict[str, dict[str, Field]] = {kind: {} for kind in page.columns}
    for key, nutrient in nutrients().items():
        lines = [line for line in page.lines if line.id == key]
        for number, table in enumerate((own, *others.values())):
            field = _field(nutrient, lines, number)
            if field is not None:
                table[key] = field
    return Fields(own, others, any(line.id == "energy_from_fat" for line in page.lines))


def _field(nutrient: Nutrient, lines: Sequence[Line], column: int) -> Field | None:
    """Return the candidates on the lines with the nutrient's name; each language may have its own."""
    words = [line.columns[column] for line in lines if column < len(line.columns)]
    if not words or (column and not any(words)):
        return None
    box = union(word.box for line in words for word in line) if any(words) else lines[0].box
    first = [token for line in words for token in find_tokens(line)]
    second = [token for line in words for token in find_tokens(second_look(line))]
    values = _settled(_amounts(first, nutrient), _amounts(second, nutrient))
    shares = _settled(_percents(first), _percents(second))
    read = [found[0] for found in _all_amounts(first, nutrient) if weight(found[0]) < LIKELY]
    agree = len({(candidate.value, candidate.less_than) for candidate in (*read, *values[:1])}) <= 1
    return Field(nutrient.id, values, shares, box, agree)


def _all_amounts(tokens: Sequence[Token], nutrient: Nutrient) -> list[tuple[Candidate, ...]]:
    """Return what each amount may say; a bare figure after the percent is a bullet or a note."""
    found, after_percent = [], False
    for token in tokens:
        after_percent = after_percent or token.percent
        if not token.percent and not (after_percent and token.text.isdigit()):
            found.append(amounts(token, nutrient))
    return [candidates for candidates in found if candidates]


def _amounts(tokens: Sequence[Token], nutrient: Nutrient) -> tuple[Candidate, ...]:
    """Return what the clearest amount may say; one behind the percent is another's if one stands before."""
    first = next((place for place, token in enumerate(tokens) if token.percent), len(tokens))
    before = _all_amounts(tokens[:first], nutrient)
    found = before or _all_amounts(tokens, nutrient)
    return min(found, key=lambda candidates: weight(candidates[0]), default=())


def _percents(tokens: Sequence[Token]) -> tuple[Candidate, ...]:
    return next((found for token in tokens if token.percent and (found := percents(token))), ())


def _settled(first: Sequence[Candidate], second: Sequence[Candidate]) -> tuple[Candidate, ...]:
    """Return the candidates of two looks as one list; where their best differ, neither stands by itself."""
    if first and second and (first[0].value, first[0].less_than) == (second[0].value, second[0].less_than):
        return ranked([*first, *second])
    more = cost_of("looks_differ")
    return ranked(replace(candidate, cost=candidate.cost + more) for candidate in (*first, *second))
