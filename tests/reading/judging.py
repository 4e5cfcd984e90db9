"""A panel that was read held against the true one: right, to be checked, missing, or wrong in silence."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from shelfcheck.panel import CORE

_SERVING = (
    "household_amount",
    "household_unit",
    "metric_amount",
    "metric_unit",
    "servings_per_container",
    "pieces",
)
_SAME_NOUN = {"galleta": ("cookie", "cracker")}
"""A label in Spanish alone prints this noun, while the true panels name it in English."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """One field: its path, whether the label prints it, whether it was read exactly, and its state."""

    path: str
    printed: bool
    exact: bool
    state: str

    @property
    def kind(self) -> str:
        """``silent`` (given as sure but wrong, or not printed), ``right``, ``check`` or ``missing``."""
        if self.state == "sure":
            return "right" if self.exact else "silent"
        return self.state

    @property
    def core(self) -> bool:
        """Whether it is one of the four amounts that matter most."""
        return self.path in {f"nutrients.{key}" for key in CORE}


def judge(true: Mapping[str, Any], read: Mapping[str, Any]) -> Iterator[Verdict]:
    """Yield a verdict on each field that the label prints, and on each that was read without it."""
    for key in _SERVING:
        if key in true["serving"]:
            yield _of_serving(key, true["serving"][key], read["serving"][key])
    columns = {"nutrients"} | {f"columns.{kind}" for kind in (*true.get("columns", {}), *read["columns"])}
    for name in sorted(columns):
        wanted, found = _column(true, name), _column(read, name)
        for key in sorted({*wanted, *found}):
            yield _of_nutrient(f"{name}.{key}", wanted.get(key), found.get(key))


def counts(verdicts: Iterator[Verdict] | list[Verdict]) -> Counter[str]:
    """Return how many fields are of each kind; ``printed`` and ``core`` count what the labels print."""
    out: Counter[str] = Counter()
    for verdict in verdicts:
        out["printed"] += verdict.printed
        if verdict.printed or verdict.kind == "silent":
            out[verdict.kind] += 1
        if verdict.core and verdict.printed:
            out["core"] += 1
            out["core_exact"] += verdict.exact
    return out


def _column(panel: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    part, _, kind = name.partition(".")
    found: Mapping[str, Any] = panel[part] if not kind else panel.get(part, {}).get(kind, {})
    return found


def _of_serving(key: str, true: Mapping[str, Any], read: Mapping[str, Any]) -> Verdict:
    same = true["value"] == read["value"] or true["value"] in _SAME_NOUN.get(str(read["value"]), ())
    about = bool(true.get("about")) == bool(read.get("about"))
    return Verdict(f"serving.{key}", true["value"] is not None, same and about, read["state"])


def _of_nutrient(path: str, true: Mapping[str, Any] | None, read: Mapping[str, Any] | None) -> Verdict:
    said, state = _said(read), read["state"] if read else "missing"
    return Verdict(path, true is not None, said == _said(true), state)


def _said(declared: Mapping[str, Any] | None) -> tuple[Any, ...]:
    if declared is None:
        return None, None, False
    return declared["value"], declared["percent_dv"], declared["less_than"]
