"""The tables are made from nothing, once, whoever starts first; they are those that the code speaks of."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import inspect, text

from shelfcheck.errors import StoreError
from shelfcheck.tours import lead, migrations
from shelfcheck.tours.plan import plan_from_json
from shelfcheck.tours.store import Store
from shelfcheck.tours.tables import Base
from tests.tours.walking import plan_json


def test_from_nothing_come_the_tables_that_the_code_speaks_of(empty_url: str) -> None:
    store = Store(empty_url)
    store.prepare()

    with store.reading() as db:
        connection = db.connection()
        assert set(inspect(connection).get_table_names()) == {*Base.metadata.tables, "alembic_version"}
        assert compare_metadata(MigrationContext.configure(connection), Base.metadata) == []
        assert [str(row[0]) for row in db.execute(text("SELECT version_num FROM alembic_version"))] == [
            "0001"
        ]
    store.close()


def test_the_newest_step_is_the_one_that_the_release_names() -> None:
    config = Config()
    config.set_main_option("script_location", str(Path(migrations.__file__).parent))

    assert ScriptDirectory.from_config(config).get_heads() == [migrations.NEWEST]


def test_a_second_start_changes_nothing(empty_url: str) -> None:
    first = Store(empty_url)
    made = lead.make(first, plan_from_json(plan_json()))
    first.close()
    second = Store(empty_url)

    assert lead.read(second, made.token) == made.tour
    second.close()


def test_replicas_that_start_at_once_make_the_tables_once(empty_url: str) -> None:
    stores = [Store(empty_url) for _ in range(4)]
    start, failed = threading.Barrier(len(stores)), []

    def begin(store: Store) -> None:
        start.wait()
        try:
            store.prepare()
        except BaseException as error:  # noqa: BLE001 - a thread's error must be seen
            failed.append(error)

    threads = [threading.Thread(target=begin, args=(store,)) for store in stores]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert failed == []
    made = lead.make(stores[0], plan_from_json(plan_json()))
    assert all(lead.read(store, made.token) == made.tour for store in stores)
    for store in stores:
        store.close()


def test_the_tables_of_a_newer_release_are_left_alone(store: Store) -> None:
    store.prepare()
    with store.writing() as db:
        db.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    store._ready = False

    with pytest.raises(StoreError):
        store.prepare()


def test_ids_are_never_used_again(store: Store) -> None:
    """An answer that waited on a phone must not reach another food, nor an old version a new tour."""
    plan = plan_from_json(plan_json())
    first = lead.make(store, plan)
    lead.delete(store, first.token)
    second = lead.make(store, plan)

    assert second.tour["version"] != first.tour["version"]
    assert second.tour["stops"][0]["id"] != first.tour["stops"][0]["id"]
