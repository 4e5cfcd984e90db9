"""Fixtures for every test, and how hypothesis draws its examples."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import hypothesis
import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from shelfcheck.panel import Panel
from shelfcheck.panel_json import panel_from_json
from shelfcheck.service import create_app
from tests.making import sample

if TYPE_CHECKING:
    from playwright.sync_api import Browser

# CI draws the same examples each time, so that what passed once passes again; by hand, set
# HYPOTHESIS_PROFILE=wide to look further.
hypothesis.settings.register_profile(
    "ci", max_examples=100, deadline=None, derandomize=True, database=None, print_blob=True
)
hypothesis.settings.register_profile("wide", max_examples=2000, deadline=None)
hypothesis.settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci"))


@pytest.fixture(scope="session", autouse=True)
def own_data_folder(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Keep what the services of tests keep out of the user's own data folder."""
    os.environ["XDG_DATA_HOME"] = str(tmp_path_factory.mktemp("data"))


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """One Chromium for all the tests of a process; each opens windows of its own."""
    from playwright.sync_api import sync_playwright

    from tests.browser.driving import open_chromium

    with sync_playwright() as playwright:
        browser = open_chromium(playwright)
        yield browser
        browser.close()


@pytest.fixture
def granola_json() -> dict[str, Any]:
    """The sample panel of 21 CFR 101.9(d): 2/3 cup (55 g), 230 calories."""
    return sample("fda_sample")


@pytest.fixture
def granola(granola_json: dict[str, Any]) -> Panel:
    return panel_from_json(granola_json)


class ClosingClient(FlaskClient):
    """A client that reads each answer to its end, so that no file stays open."""

    def open(self, *args: Any, buffered: bool = True, **kwargs: Any) -> TestResponse:
        return super().open(*args, buffered=buffered, **kwargs)


@pytest.fixture
def client() -> FlaskClient:
    app = create_app()
    app.test_client_class = ClosingClient
    return app.test_client()
