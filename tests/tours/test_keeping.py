"""Tours are kept for some days after their last change, then all of them goes."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from sqlalchemy import text

from shelfcheck.errors import DeadLinkError
from shelfcheck.tours import join, keeping, lead
from shelfcheck.tours.calendar import Calendar
from shelfcheck.tours.plan import plan_from_json
from shelfcheck.tours.store import Store
from tests.tours.walking import DAY, Clock, amount, phone, plan_json

PLAN = plan_from_json(plan_json())


def walked(store: Store) -> lead.Made:
    made = lead.make(store, PLAN)
    stop = made.tour["stops"][0]["id"]
    lead.set_state(store, made.token, stop, "open")
    who = {"phone": phone()}
    join.guess(store, made.tour["code"], stop, who | amount())
    join.practise(store, made.tour["code"], who | {"round": "before", "measure": "fist", "measured": 260})
    return made


def rows(store: Store) -> int:
    with store.reading() as db:
        tables = ("tour", "stop", "phone", "guess", "practice")
        return sum(db.scalar(text(f"SELECT count(*) FROM {table}")) or 0 for table in tables)


def test_a_tour_goes_with_all_that_was_said_ninety_days_after_its_last_change(
    store: Store, clock: Clock
) -> None:
    made = walked(store)
    clock.now += 60 * DAY
    lead.set_state(store, made.token, made.tour["stops"][0]["id"], "closed")
    clock.now += 90 * DAY
    keeping.sweep(store)
    assert lead.read(store, made.token)["ended"] is False

    clock.now += 1
    keeping.sweep(store)
    with pytest.raises(DeadLinkError):
        lead.read(store, made.token)
    assert rows(store) == 0


def test_until_when_a_tour_is_kept_is_told(store: Store, clock: Clock) -> None:
    made = lead.make(store, PLAN)

    assert made.tour["kept_until"] == "2030-06-15"
    clock.now += 10 * DAY
    assert lead.read(store, made.token)["kept_until"] == "2030-06-15"  # looking is no change
    assert lead.end(store, made.token)["kept_until"] == "2030-06-25"


def test_tidying_sweeps_at_the_start_and_at_most_once_an_hour(
    store: Store, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    swept: list[float] = []
    monkeypatch.setattr(keeping, "sweep", lambda _: swept.append(clock.now))
    start = clock.now

    for minutes in (0, 1, 59, 60, 61, 119, 121):
        clock.now = start + minutes * 60
        keeping.tidy(store)
    assert [int(at - start) // 60 for at in swept] == [0, 60, 121]


def test_deleting_leaves_nothing(store: Store) -> None:
    made = walked(store)
    other = walked(store)
    each = rows(store) // 2

    lead.delete(store, made.token)
    assert rows(store) == each
    lead.delete(store, other.token)
    assert rows(store) == 0


# a clock that jumps


YEAR = 365 * DAY


@pytest.fixture
def steady() -> Clock:
    return Clock(0)


@pytest.fixture
def jumpy(url: str, clock: Clock, steady: Clock) -> Iterator[Store]:
    """A store whose clock jumps while its steady count goes on."""
    found = Store(url, clock=clock, steady=steady, wait_seconds=10)
    yield found
    found.close()


def restarted(store: Store, clock: Clock, steady: Clock) -> None:
    """Forget what only the running service knows, as a new start does."""
    store.calendar = Calendar(clock, steady, store.days)


@pytest.mark.parametrize("jump", [-YEAR, -DAY, DAY, YEAR, 20 * YEAR])
def test_a_tour_that_goes_on_outlasts_a_jump_of_the_clock(jumpy: Store, clock: Clock, jump: int) -> None:
    made = walked(jumpy)
    before = rows(jumpy)
    clock.now += jump
    keeping.sweep(jumpy)
    join.guess(jumpy, made.tour["code"], made.tour["stops"][0]["id"], {"phone": phone()} | amount(3))
    clock.now -= jump
    keeping.sweep(jumpy)

    now = lead.read(jumpy, made.token)
    assert now["stops"][0]["answered"] == 2
    assert rows(jumpy) == before + 2  # one more phone and its answer


def test_a_jump_back_makes_no_tour_older_than_it_is(jumpy: Store, clock: Clock, steady: Clock) -> None:
    made = walked(jumpy)
    kept = lead.read(jumpy, made.token)["kept_until"]
    clock.now -= YEAR
    assert lead.end(jumpy, made.token)["kept_until"] == kept
    clock.now += YEAR + 89 * DAY
    restarted(jumpy, clock, steady)
    keeping.sweep(jumpy)

    assert lead.read(jumpy, made.token)["ended"] is True


def test_a_tour_made_while_the_clock_was_behind_stays_its_days(
    jumpy: Store, clock: Clock, steady: Clock
) -> None:
    clock.now -= YEAR
    made = walked(jumpy)
    clock.now += YEAR
    for _ in range(90):
        keeping.sweep(jumpy)
        clock.now += DAY
        steady.now += DAY
    assert lead.read(jumpy, made.token)["phones"] == 1

    clock.now += 1
    steady.now += 1
    keeping.sweep(jumpy)
    assert rows(jumpy) == 0


def test_a_jump_ahead_is_believed_once_it_has_stood_for_a_day(
    jumpy: Store, clock: Clock, steady: Clock
) -> None:
    walked(jumpy)
    restarted(jumpy, clock, steady)  # a tour that this run of the service did not change
    clock.now += YEAR
    keeping.sweep(jumpy)
    steady.now += DAY - 1
    clock.now += DAY - 1
    keeping.sweep(jumpy)
    assert rows(jumpy) > 0

    steady.now += 1
    clock.now += 1
    keeping.sweep(jumpy)
    assert rows(jumpy) == 0
