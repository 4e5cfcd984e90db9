"""JSON that hypothesis draws, from what no reader should see to what is nearly right."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from shelfcheck.panel import Serving
from shelfcheck.panel_json import COLUMNS
from shelfcheck.rules import nutrients

HUGE = st.sampled_from((10**400, -(10**400), 10**19, 2**63, 2**53 + 1, 1e308, -1e308, 5e-324, -0.0))
STRANGE = st.sampled_from(
    (
        "\0",
        "\ud800",
        "\u202e",
        "\ufeff",
        "e\u0301" * 40,
        "\N{FACE WITH TEARS OF JOY}" * 30,
        "１０",
        "٣",
        "½",
        "=1+1",
    )
)
SCALARS = (
    st.none()
    | st.booleans()
    | st.integers(-(10**20), 10**20)
    | HUGE
    | st.floats()
    | st.text(max_size=12)
    | STRANGE
)
"""Any value of JSON, and what its readers stumble over: numbers beyond every type, letters of no font."""
ANY = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)
FIELD = ANY | st.fixed_dictionaries(
    {}, optional=dict.fromkeys(("value", "state", "unit", "percent_dv", "less_than", "about"), ANY)
)
ROUGH_PANEL = ANY | st.fixed_dictionaries(
    {},
    optional={
        "serving": ANY | st.fixed_dictionaries({}, optional=dict.fromkeys(Serving._fields, FIELD)),
        "nutrients": ANY
        | st.dictionaries(st.sampled_from(sorted(nutrients())) | st.text(max_size=5), FIELD, max_size=5),
        "columns": ANY
        | st.dictionaries(
            st.sampled_from(COLUMNS) | st.text(max_size=5),
            st.dictionaries(st.sampled_from(sorted(nutrients())), FIELD, max_size=2) | ANY,
            max_size=2,
        ),
        "form": ANY | st.just("1993"),
        "name": ANY,
        "food": ANY,
        "doubts": ANY,
    },
)


@st.composite
def spoiled(draw: st.DrawFn, **good: st.SearchStrategy[Any]) -> Any:
    """An object of these parts, of which up to two are anything, and now and then not even an object."""
    parts = {name: draw(part) for name, part in good.items()}
    for name in draw(st.lists(st.sampled_from(sorted(good)), max_size=2)):
        parts[name] = draw(ANY)
    return draw(st.just(parts) | st.just(parts) | st.just(parts) | ANY)
