"""Candidates to the panel: the values that together are likeliest, each as sure as its proof.

A value is ``sure`` when its print is clean and nothing speaks against it, or when a slip of reading is
undone by the percent beside it. What is contradicted is ``check``; what cannot be read is left out with a
doubt, not guessed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from shelfcheck import check, data
from shelfcheck.numbers import on_step
from shelfcheck.panel import CORE, Box, Declared, Doubt, Form, Panel, Serving, State
from shelfcheck.reading.bars import BARS, Bars
from shelfcheck.reading.candidates import Field, Fields
from shelfcheck.reading.numerals import Candidate, weight
from shelfcheck.reading.servings import ServingFields
from shelfcheck.reading.sizes import reconcile_serving
from shelfcheck.rules import RULES, nutrients, on_grid, percent_step

_MISFIT = 4.0
_BEST = 8
_ILLEGIBLE = 0.1
"""A percent with less confidence is left out: it may be another's."""


@dataclass(frozen=True, slots=True)
class _Choice:
    """One way to read a field: a value, the percent beside it, and what speaks against both."""

    value: Candidate | None
    percent: Candidate | None
    cost: float


@dataclass(frozen=True, slots=True)
class _Column:
    """A reconciled column: what is declared, and its doubts by nutrient."""

    declared: dict[str, Declared]
    doubts: tuple[Doubt, ...]


def reconcile(fields: Fields, serving: ServingFields, bars: Bars = BARS) -> Panel:
    """Return the likeliest panel, each field with its state, each doubt with its box."""
    form = _form(fields)
    stated, serving_doubts = reconcile_serving(serving, bars)
    # A weight that is in doubt itself is no witness against what the serving holds.
    heard = stated if stated.metric_amount.state == "sure" else Serving()
    own = _column(fields.own, form, heard, "nutrients", bars)
    columns = {
        kind: _column(table, form, Serving(), f"columns.{kind}", bars)
        for kind, table in fields.columns.items()
    }
    doubts = [
        *serving_doubts,
        *own.doubts,
        *(doubt for column in columns.values() for doubt in column.doubts),
    ]
    panel = Panel(stated, own.declared, {kind: column.declared for kind, column in columns.items()}, (), form)
    for doubt in check.doubts(panel):
        if doubt.field.startswith("serving."):
            doubts.append(doubt._replace(box=serving.box))
        elif doubt.code == "container":
            doubts.append(doubt._replace(box=_box(fields, doubt.field)))
    return _marked(panel.with_doubts(tuple(doubts)))


def _box(fields: Fields, path: str) -> Box | None:
    """Return where the field at ``path`` stands, in the panel's own column or in another."""
    *kind, key = path.split(".")
    table = fields.own if len(kind) == 1 else fields.columns[kind[1]]
    return table[key].box if key in table else None


def _marked(panel: Panel) -> Panel:
    """Return the panel with the doubted fields of its further columns set to ``check``."""
    doubted = {doubt.field for doubt in panel.doubts}

    def state(kind: str, key: str, declared: Declared) -> Declared:
        unsure = f"columns.{kind}.{key}" in doubted and declared.state == "sure"
        return declared._replace(state="check") if unsure else declared

    columns = {
        kind: {key: state(kind, key, declared) for key, declared in column.items()}
        for kind, column in panel.columns.items()
    }
    return panel._replace(columns=columns)


def _form(fields: Fields) -> Form:
    """Return the form of the label by what it names, and where that may be either, by the percents."""
    if fields.energy_from_fat:
        return "1993"
    if "added_sugars" in fields.own or "vitamin_a" not in fields.own:
        return "2016"
    forms: tuple[Form, Form] = ("1993", "2016")
    return min(forms, key=lambda form: sum(_choices(field, form)[0].cost for field in fields.own.values()))


def _column(table: dict[str, Field], form: Form, serving: Serving, path: str, bars: Bars) -> _Column:
    """Choose a reading of every field, mend what the relations contradict, and give each field its state."""
    ways = {key: _choices(field, form) for key, field in table.items()}
    chosen = {key: choices[0] for key, choices in ways.items()}
    _mend(chosen, ways, form, serving, bars)
    declared: dict[str, Declared] = {}
    doubts: list[Doubt] = []
    for key, choice in chosen.items():
        found = list(_own_doubts(table[key], choice, ways[key], form, bars))
        state: State = "sure"
        if choice.value is None and (choice.percent is None or not _by_percent_alone(key, form)):
            state = "missing"
        declared[key] = _declared(key, choice)._replace(state="check" if found and state == "sure" else state)
        doubts += [doubt._replace(field=f"{path}.{key}", box=table[key].box) for doubt in found]
    for doubt in check.doubts(Panel(serving, declared, form=form)):
        part, _, key = doubt.field.partition(".")
        if part == "nutrients":
            declared[key] = declared[key]._replace(state="check")
            doubts.append(doubt._replace(field=f"{path}.{key}", box=table[key].box))
    if path == "nutrients":
        doubts += [Doubt(f"nutrients.{key}", "not_found") for key in CORE if key not in table]
    return _Column(declared, tuple(doubts))


def _choices(field: Field, form: Form) -> list[_Choice]:
    """Return the ways to read a field, likeliest first; a percent that does not fit weighs against both."""
    values: list[Candidate | None] = [*field.values[:_BEST]] or [None]
    legible = [percent for percent in field.percents[:_BEST] if percent.confidence >= _ILLEGIBLE]
    percents: list[Candidate | None] = [*legible] or [None]
    out = []
    for value in values:
        for percent in percents:
            choice = _Choice(value, percent, 0.0)
            misfit = check.percent_fits(field.id, _declared(field.id, choice), form) is False
            cost = sum(weight(part) for part in (value, percent) if part is not None)
            out.append(replace(choice, cost=cost + (_MISFIT if misfit else 0.0)))
    return sorted(out, key=lambda choice: choice.cost)


def _declared(key: str, choice: _Choice) -> Declared:
    value, percent = choice.value, choice.percent
    return Declared(
        None if value is None else value.value,
        nutrients()[key].unit,
        None if percent is None else percent.value,
        value is not None and value.less_than,
    )


def _mend(
    chosen: dict[str, _Choice], ways: dict[str, list[_Choice]], form: Form, serving: Serving, bars: Bars
) -> None:
    """Where totals or calories contradict, take another reading of one field if that alone sets all right."""

    def wrong(choices: dict[str, _Choice]) -> list[Doubt]:
        declared = {key: _declared(key, choice) for key, choice in choices.items()}
        return [
            doubt
            for doubt in check.doubts(Panel(serving, declared, form=form))
            if doubt.code not in ("percent", "grid")
        ]

    found = wrong(chosen)
    if not found:
        return
    mends: list[tuple[float, str, _Choice]] = []
    for key in {doubt.field.partition(".")[2] for doubt in found} & set(ways):
        for other in ways[key][1:]:
            extra = other.cost - chosen[key].cost
            if extra <= bars.provable and not wrong({**chosen, key: other}):
                mends.append((extra, key, other))
                break
    if mends:
        _, key, choice = min(mends, key=lambda mend: mend[0])
        chosen[key] = choice


def _own_doubts(
    field: Field, choice: _Choice, ways: list[_Choice], form: Form, bars: Bars
) -> Iterator[Doubt]:
    """Yield why a field's own print is no sufficient proof."""
    key, value, percent = field.id, choice.value, choice.percent
    nutrient = nutrients()[key]
    if value is None:
        if percent is None or not _by_percent_alone(key, form):
            yield Doubt(key, "unread")
        elif not _stands(percent, bars) or not on_step(percent.value, percent_step(nutrient, percent.value)):
            yield Doubt(key, "unclear")
        return
    fits = check.percent_fits(key, _declared(key, choice), form)
    if fits is False:
        return  # the relation itself is the doubt
    most, nearly = bars.likely, False
    if fits and percent is not None and _stands(percent, bars):
        nearly = not check.percent_fits(key, _declared(key, choice), form, closely=True)
        # "Less than" fits a small percent whatever stands behind it, and a coarse grid of percents fits much.
        weak = nearly or value.less_than or bool(nutrient.grid.get("soft"))
        odd = weak and not on_grid(nutrient, value.value, usual=True)
        most = bars.spotless if odd else bars.likely if weak else bars.provable
    stray = percent is not None and nutrient.daily_value_of(form) is None
    if not field.agree:
        yield Doubt(key, "two_readings")
    elif (
        weight(value) >= most
        or stray
        or (nearly and not (_plain(value, bars) and _plain(percent, bars)))
        or _rivals(choice, ways, bars)
        or (fits is None and not _stands(percent, bars))
    ):
        yield Doubt(key, "unclear")
    elif percent is None and key != "protein" and nutrient.daily_value_of(form) and not _plain(value, bars):
        yield Doubt(key, "percent_unread")


def _by_percent_alone(key: str, form: Form) -> bool:
    """Tell whether a panel prints no amount of the nutrient: vitamins and minerals before 2016."""
    return form == "1993" and key in data.load(RULES)["percent_dv"]["vitamins"]


def _stands(candidate: Candidate | None, bars: Bars) -> bool:
    """Tell whether what is printed, if anything is, stands by itself."""
    return candidate is None or weight(candidate) < bars.likely


def _plain(candidate: Candidate | None, bars: Bars) -> bool:
    """Tell whether print is so clear that it needs nothing beside it."""
    return candidate is None or (candidate.cost == 0 and candidate.confidence >= bars.alone)


def _rivals(choice: _Choice, ways: list[_Choice], bars: Bars) -> bool:
    """Tell whether another way to read the field is nearly as likely."""
    said = _said(choice)
    return any(other.cost - choice.cost < bars.margin and _said(other) != said for other in ways)


def _said(choice: _Choice) -> tuple[float | None, bool, float | None]:
    value, percent = choice.value, choice.percent
    amount = (None, False) if value is None else (value.value, value.less_than)
    return (*amount, None if percent is None else percent.value)
