"""One service and one Chromium for all browser tests; each test has its own fresh phone."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser

from tests.browser.driving import PHONE, Shopper, new_context, running_service

Arrive = Callable[..., Shopper]


@pytest.fixture(scope="session")
def address() -> Iterator[str]:
    with running_service() as found:
        yield found


@pytest.fixture
def shopper(chromium: Browser, address: str) -> Iterator[Arrive]:
    """Return a function that brings a shopper with a fresh phone; no script error may be left behind."""
    contexts, shoppers = [], []

    def bring(size: tuple[int, int] = PHONE, lang: str = "en", **more: Any) -> Shopper:
        context = new_context(chromium, size, lang, **more)
        context.set_default_timeout(8000)
        contexts.append(context)
        shoppers.append(Shopper(context.new_page(), address))
        return shoppers[-1]

    yield bring
    for context in contexts:
        context.close()
    assert [trouble for one in shoppers for trouble in one.troubles] == []
