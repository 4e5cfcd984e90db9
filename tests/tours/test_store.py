"""The store: what keeps it from answering is told as one error, and it works again once that is over."""

from __future__ import annotations

import shutil
import sqlite3
import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import event, text

from shelfcheck.errors import StoreError
from shelfcheck.tours import join, lead
from shelfcheck.tours.codes import token_hash
from shelfcheck.tours.plan import plan_from_json
from shelfcheck.tours.store import Store, default_file
from shelfcheck.words import LANGUAGES
from tests.tours.postgres import Postgres
from tests.tours.walking import amount, phone, plan_json

PLAN = plan_from_json(plan_json())


def opened(store: Store) -> tuple[lead.Made, Callable[[], object]]:
    """Make a tour with an open stop; return it and a way to say an amount there."""
    made = lead.make(store, PLAN)
    stop = made.tour["stops"][0]["id"]
    lead.set_state(store, made.token, stop, "open")
    return made, lambda: join.guess(store, made.tour["code"], stop, {"phone": phone()} | amount())


def test_a_token_is_never_kept_in_clear(store: Store, kind: str) -> None:
    made = lead.make(store, PLAN)

    with store.reading() as db:
        for table in ("tour", "stop", "phone", "guess", "practice"):
            rows = [str(row) for row in db.execute(text(f"SELECT * FROM {table}"))]
            assert made.token not in "".join(rows)
        assert db.scalar(text("SELECT token_hash FROM tour")) == token_hash(made.token)
    if kind == "sqlite":
        folder = Path(store._url.database or "").parent
        assert not any(made.token.encode() in path.read_bytes() for path in folder.iterdir())


def test_sqlite_is_set_up_to_be_safe_and_shared(tmp_path: Path) -> None:
    store = Store(f"sqlite:///{tmp_path}/t.db", wait_seconds=3)

    with store.reading() as db:
        asked = ("busy_timeout", "journal_mode", "synchronous", "foreign_keys", "secure_delete")
        assert [db.scalar(text(f"PRAGMA {name}")) for name in asked] == [3000, "wal", 1, 1, 1]
    store.close()


def test_a_write_that_fails_leaves_nothing_behind(store: Store) -> None:
    made = lead.make(store, PLAN)

    def fail() -> None:
        with store.writing() as db:
            db.execute(text("DELETE FROM tour"))
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail()
    assert lead.read(store, made.token) == made.tour


@pytest.mark.parametrize("lang", LANGUAGES)
def test_a_locked_sqlite_is_told_and_works_again(tmp_path: Path, lang: str) -> None:
    store = Store(f"sqlite:///{tmp_path}/t.db", wait_seconds=0.1)
    made, guess = opened(store)
    holder = sqlite3.connect(tmp_path / "t.db", isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")

    with pytest.raises(StoreError) as caught:
        join.enter(store, made.tour["code"], {"phone": phone()}, lang)
    assert caught.value.status == 503
    assert ("teléfono" in caught.value.message) is (lang == "es")
    assert join.see(store, made.tour["code"])["code"] == made.tour["code"]  # reading goes on

    holder.execute("ROLLBACK")
    holder.close()
    guess()
    store.close()


@pytest.mark.parametrize("mode", ["IMMEDIATE", "EXCLUSIVE"])
def test_a_new_sqlite_that_another_is_setting_up_is_waited_for(tmp_path: Path, mode: str) -> None:
    holder = sqlite3.connect(tmp_path / "t.db", isolation_level=None, check_same_thread=False)
    holder.execute(f"BEGIN {mode}")
    holder.execute("CREATE TABLE other (id INTEGER)")
    release = threading.Timer(0.3, lambda: holder.execute("COMMIT"))
    release.start()
    store = Store(f"sqlite:///{tmp_path}/t.db")

    assert lead.make(store, PLAN).tour["phones"] == 0
    release.join()
    holder.close()
    store.close()


def test_a_locked_tour_on_postgres_is_told_and_works_again(postgres: Postgres) -> None:
    url = postgres.make("locked", "ready")
    store, other = Store(url, wait_seconds=0.2), Store(url)
    _, guess = opened(store)

    with other.writing() as db:
        db.execute(text("SELECT * FROM tour FOR UPDATE"))
        with pytest.raises(StoreError):
            guess()
    guess()
    store.close()
    other.close()


def test_a_full_disk_is_told_keeps_what_was_kept_and_works_again(tmp_path: Path) -> None:
    store = Store(f"sqlite:///{tmp_path}/t.db")
    made, guess = opened(store)
    pages = {"most": 2**30}
    event.listen(
        store._engine, "checkout", lambda c, *_: c.execute(f"PRAGMA max_page_count = {pages['most']}")
    )
    with store.reading() as db:
        pages["most"] = db.scalar(text("PRAGMA page_count")) or 0

    kept = 0

    def guess_on() -> None:
        nonlocal kept
        for _ in range(5000):
            guess()
            kept += 1

    with pytest.raises(StoreError):
        guess_on()
    assert lead.read(store, made.token)["stops"][0]["answered"] == kept
    pages["most"] = 2**30
    guess()
    assert lead.read(store, made.token)["stops"][0]["answered"] == kept + 1
    store.close()


def test_a_full_disk_on_postgres_is_told(postgres: Postgres) -> None:
    """The server's own error for a full disk, raised by a trigger."""
    store = Store(postgres.make("full", "ready"))
    _, guess = opened(store)
    full = "RAISE EXCEPTION 'could not extend file: No space left on device' USING ERRCODE = '53100'"
    with store.writing() as db:
        db.execute(
            text(f"CREATE FUNCTION full_disk() RETURNS trigger AS $$BEGIN {full}; END$$ LANGUAGE plpgsql")
        )
        db.execute(text("CREATE TRIGGER t BEFORE INSERT ON guess EXECUTE FUNCTION full_disk()"))

    with pytest.raises(StoreError):
        guess()
    with store.writing() as db:
        db.execute(text("DROP TRIGGER t ON guess"))
    guess()
    store.close()


def test_a_stopped_postgres_is_told_and_works_again() -> None:
    server = Postgres(safe=True)
    store = Store(server.make("tours"), wait_seconds=2)
    try:
        made, guess = opened(store)
        guess()
        server.stop()
        for _ in range(2):
            with pytest.raises(StoreError):
                guess()
            with pytest.raises(StoreError):
                join.version(store, made.tour["code"])
        server.start()
        guess()
        assert lead.read(store, made.token)["stops"][0]["answered"] == 2
    finally:
        store.close()
        server.remove()


def test_a_deleted_file_is_noticed_and_made_anew(tmp_path: Path) -> None:
    folder = tmp_path / "tours"
    folder.mkdir()
    store = Store(f"sqlite:///{folder}/t.db")
    made, _ = opened(store)
    for path in folder.iterdir():
        path.unlink()

    with pytest.raises(StoreError):
        lead.read(store, made.token)  # the connection that it had writes into nothing
    assert lead.make(store, PLAN).tour["phones"] == 0
    shutil.rmtree(folder)
    for _ in range(2):
        with pytest.raises(StoreError):
            lead.make(store, PLAN)
    folder.mkdir()
    lead.make(store, PLAN)
    store.close()


def test_a_file_that_is_no_database_is_told(tmp_path: Path) -> None:
    (tmp_path / "t.db").write_bytes(b"a letter " * 1000)
    store = Store(f"sqlite:///{tmp_path}/t.db")

    with pytest.raises(StoreError):
        lead.make(store, PLAN)
    store.close()


def test_what_is_worked_out_is_remembered_by_its_key_and_the_oldest_is_let_go(store: Store) -> None:
    made: list[int] = []

    def make(number: int) -> int:
        made.append(number)
        return number

    for number in (0, 0, *range(1000), 999, 0):
        assert store.remember(("n", number), lambda number=number: make(number)) == number
    assert made == [*range(1000), 0]


@pytest.mark.parametrize(
    "url", ["tours.db", "mysql://x/y", "sqlite://", "sqlite:///:memory:", "http://x", "sqlite", "postgresql"]
)
def test_a_url_that_cannot_be_used_is_told(url: str) -> None:
    with pytest.raises(ValueError, match="The setting db must be"):
        Store(url)


@pytest.mark.parametrize("start", ["postgres", "postgresql", "postgresql+psycopg", "postgresql+asyncpg"])
def test_postgres_is_asked_through_psycopg(start: str) -> None:
    store = Store(f"{start}://u@h/n")

    assert store._engine.dialect.driver == "psycopg"
    store.close()


def test_without_a_url_tours_are_kept_in_the_users_data_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    store = Store("")
    lead.make(store, PLAN)
    store.close()

    assert default_file() == tmp_path / "data" / "shelfcheck" / "shelfcheck.db"
    assert default_file().exists()
    assert default_file().parent.stat().st_mode & 0o077 == 0
    monkeypatch.setenv("XDG_DATA_HOME", "relative")
    monkeypatch.setenv("HOME", str(tmp_path))
    assert default_file() == tmp_path / ".local" / "share" / "shelfcheck" / "shelfcheck.db"


def test_many_threads_share_a_store(store: Store) -> None:
    made, guess = opened(store)
    failed: list[BaseException] = []

    def say() -> None:
        try:
            for _ in range(5):
                guess()
        except BaseException as error:  # noqa: BLE001 - a thread's error must be seen
            failed.append(error)

    threads = [threading.Thread(target=say) for _ in range(16)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert failed == []
    now = lead.read(store, made.token)
    assert now["stops"][0]["answered"] == now["phones"] == 80
    assert now["version"].endswith("-82")  # one for the state, one for each guess: none is lost
