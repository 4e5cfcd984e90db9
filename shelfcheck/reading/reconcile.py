"""Candidates to the panel: the values that together are likeliest, each as sure as its proof.

A value is ``sure`` when its print is clean and nothing speaks against it, or when a slip of reading is
undone by the percent beside it. What is contradicted is ``check``; what cannot be read is left out with a
doubt, not guessed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from shelfcheck import check, data
from shelfcheck.numbers import round_to_step
from shelfcheck.panel import CORE, Box, Declared, Doubt, Form, Number, Panel, Serving, State, Word
from shelfcheck.reading.candidates import LIKELY, Field, Fields
from shelfcheck.reading.numerals import Candidate
from shelfcheck.reading.servings import Read, ServingFields
from shelfcheck.rules import RULES, metric_step, nutrients, percent_step, servings_step

_CONFIDENT = 0.85
_PER_CONFIDENCE = 4.0
_MISFIT = 4.0
_PROVABLE = 2.2
"""A slip of this cost at most may be undone by a percent that fits; beyond it a person looks. Judgement."""
_MARGIN = 1.5
"""Ways to read a field that are closer than this are not told apart. Judgement."""
_BEST = 8


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


def reconcile(fields: Fields, serving: ServingFields) -> Panel:
    """Return the likeliest panel, each field with its state, each doubt with its box."""
    form: Form = "1993" if _old_form(fields) else "2016"
    stated, serving_doubts = _serving(serving)
    own = _column(fields.own, form, stated, "nutrients")
    columns = {
        kind: _column(table, form, Serving(), f"columns.{kind}") for kind, table in fields.columns.items()
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


def _old_form(fields: Fields) -> bool:
    return fields.energy_from_fat or ("vitamin_a" in fields.own and "added_sugars" not in fields.own)


def _column(table: dict[str, Field], form: Form, serving: Serving, path: str) -> _Column:
    """Choose a reading of every field, mend what the relations contradict, and give each field its state."""
    ways = {key: _choices(field, form) for key, field in table.items()}
    chosen = {key: choices[0] for key, choices in ways.items()}
    _mend(chosen, ways, form, serving)
    declared: dict[str, Declared] = {}
    doubts: list[Doubt] = []
    for key, choice in chosen.items():
        found = list(_own_doubts(table[key], choice, ways[key], form))
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
    percents: list[Candidate | None] = [*field.percents[:_BEST]] or [None]
    out = []
    for value in values:
        for percent in percents:
            choice = _Choice(value, percent, 0.0)
            misfit = check.percent_fits(field.id, _declared(field.id, choice), form) is False
            cost = sum(_cost(part) for part in (value, percent) if part is not None)
            out.append(replace(choice, cost=cost + (_MISFIT if misfit else 0.0)))
    return sorted(out, key=lambda choice: choice.cost)


def _cost(candidate: Candidate | Read) -> float:
    return candidate.cost + max(0.0, _CONFIDENT - candidate.confidence) * _PER_CONFIDENCE


def _declared(key: str, choice: _Choice) -> Declared:
    value, percent = choice.value, choice.percent
    return Declared(
        None if value is None else value.value,
        nutrients()[key].unit,
        None if percent is None else percent.value,
        value is not None and value.less_than,
    )


def _mend(chosen: dict[str, _Choice], ways: dict[str, list[_Choice]], form: Form, serving: Serving) -> None:
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
            if extra <= _PROVABLE and not wrong({**chosen, key: other}):
                mends.append((extra, key, other))
                break
    if mends:
        _, key, choice = min(mends, key=lambda mend: mend[0])
        chosen[key] = choice


def _own_doubts(field: Field, choice: _Choice, ways: list[_Choice], form: Form) -> Iterator[Doubt]:
    """Yield why a field's own print is no sufficient proof."""
    key, value, percent = field.id, choice.value, choice.percent
    nutrient = nutrients()[key]
    if value is None:
        if percent is None or not _by_percent_alone(key, form):
            yield Doubt(key, "unread")
        elif not _stands(percent) or not _on_step(percent.value, percent_step(nutrient, percent.value)):
            yield Doubt(key, "unclear")
        return
    fits = check.percent_fits(key, _declared(key, choice), form)
    if fits is False:
        return  # the relation itself is the doubt
    most = _PROVABLE if fits and percent is not None and _stands(percent) else LIKELY
    stray = percent is not None and nutrient.daily_value_of(form) is None
    if not field.agree:
        yield Doubt(key, "two_readings")
    elif _cost(value) >= most or stray or _rivals(choice, ways) or (fits is None and not _stands(percent)):
        yield Doubt(key, "unclear")
    elif percent is None and nutrient.daily_value_of(form) is not None and key != "protein":
        yield Doubt(key, "percent_unread")


def _by_percent_alone(key: str, form: Form) -> bool:
    """Tell whether a panel prints no amount of the nutrient: vitamins and minerals before 2016."""
    return form == "1993" and key in data.load(RULES)["percent_dv"]["vitamins"]


def _stands(candidate: Candidate | None) -> bool:
    """Tell whether what is printed, if anything is, stands by itself."""
    return candidate is None or _cost(candidate) < LIKELY


def _rivals(choice: _Choice, ways: list[_Choice]) -> bool:
    """Tell whether another way to read the field is nearly as likely."""
    said = _said(choice)
    return any(other.cost - choice.cost < _MARGIN and _said(other) != said for other in ways)


def _said(choice: _Choice) -> tuple[float | None, bool, float | None]:
    value, percent = choice.value, choice.percent
    amount = (None, False) if value is None else (value.value, value.less_than)
    return (*amount, None if percent is None else percent.value)


def _serving(found: ServingFields) -> tuple[Serving, list[Doubt]]:
    """Return the serving with its states, and the doubts on it."""
    doubts: list[Doubt] = []

    def number(key: str, read: Read | None, *, lawful: bool = True) -> Number:
        if read is None or isinstance(read.value, str):
            return Number()
        clear = _cost(read) < LIKELY and lawful
        if not clear:
            doubts.append(Doubt(f"serving.{key}", "unclear", box=read.box))
        return Number(read.value, "sure" if clear else "check", read.about)

    def word(key: str, read: Read | None) -> Word:
        if read is None:
            return Word()
        clear = _cost(read) < LIKELY
        if not clear:
            doubts.append(Doubt(f"serving.{key}", "unclear", box=read.box))
        return Word(str(read.value), "sure" if clear else "check")

    metric, count = _value(found.metric), _value(found.per_container)
    serving = Serving(
        number("household_amount", found.amount),
        word("household_unit", found.unit),
        number("metric_amount", found.metric, lawful=metric is None or _on_step(metric, metric_step(metric))),
        word("metric_unit", found.metric_unit),
        number(
            "servings_per_container",
            found.per_container,
            lawful=count is None or _on_step(count, servings_step(count)),
        ),
        number("pieces", found.pieces),
        found.text,
    )
    for key, read, box in (
        ("household_amount", found.amount, found.box),
        ("metric_amount", found.metric, found.box),
        ("servings_per_container", found.per_container, found.servings_box),
    ):
        if read is None:
            doubts.append(Doubt(f"serving.{key}", "unread" if box else "not_found", box=box))
    return serving, doubts


def _value(read: Read | None) -> float | None:
    return None if read is None or isinstance(read.value, str) else read.value


def _on_step(value: float, step: float) -> bool:
    return abs(round_to_step(value, step) - value) < step / 1000
