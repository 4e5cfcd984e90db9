"""Lines on a picture to level lines on a page: tilted, fanned out, bowed, and one that disagrees."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from shelfcheck.reading.level import make_level

Points = NDArray[np.float64]
HEIGHT = 24.0


def lines(count: int = 20, left: float = 100, right: float = 700, pitch: float = 40) -> Points:
    """Level lines one below the other, n x 2 x 2."""
    down = 100 + pitch * np.arange(count)
    return np.stack([np.column_stack([np.full(count, x), down]) for x in (left, right)], axis=1).astype(
        np.float64
    )


def chords() -> Points:
    """The same lines, each in five parts: all the parts that stand furthest left, then the next."""
    edges = np.linspace(100, 700, 6)
    return np.concatenate([lines(left=float(a), right=float(b)) for a, b in pairwise(edges)])


def turned(points: Points, degrees: float) -> Points:
    angle = np.radians(degrees)
    return points @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])


def fanned(points: Points, share: float = 0.15) -> Points:
    """Seen aslant: lines climb at the top and fall at the foot, by ``share`` of their length at most."""
    x, y = points[..., 0], points[..., 1]
    return np.stack([x, y + share * (x - 400) * (y - 480) / 400], axis=-1)


def levelled(ends: Points, heights: Points | None = None) -> Points:
    heights = np.full(len(ends), HEIGHT) if heights is None else heights
    return make_level(ends, heights).page(ends)


def rise(ends: Points) -> Points:
    """How much each line falls from its start to its end, in heights of print."""
    return np.asarray((ends[:, 1, 1] - ends[:, 0, 1]) / HEIGHT)


@pytest.mark.parametrize("degrees", [0, 12, -35, 90, 170])
def test_tilted_lines_become_level_and_keep_their_distance(degrees: float) -> None:
    page = levelled(turned(lines(), degrees))
    assert np.abs(rise(page)).max() < 1e-6
    assert np.diff(page[:, 0, 1]) == pytest.approx(40)
    assert page[:, 1, 0] - page[:, 0, 0] == pytest.approx(600)


@pytest.mark.parametrize("degrees", [0, -20])
def test_lines_seen_aslant_become_level(degrees: float) -> None:
    seen = fanned(lines())
    assert np.abs(rise(seen)).max() > 3
    page = levelled(turned(seen, degrees))
    assert np.abs(rise(page)).max() < 0.25
    assert (np.diff(page.mean(axis=1)[:, 1]) > 0).all()


def test_lines_round_a_can_become_level() -> None:
    flat = chords()
    bowed = np.stack([flat[..., 0], flat[..., 1] + 60 * ((flat[..., 0] - 400) / 300) ** 2], axis=-1)
    assert np.abs(rise(bowed)).max() > 1
    assert np.abs(rise(levelled(bowed))).max() < 0.2
    page = levelled(bowed)[:20:5, 0, 1]
    assert (np.diff(page) > 0).all()


def test_one_line_that_disagrees_weighs_little() -> None:
    ends = chords()
    sticker = np.array([[[300.0, 480.0], [480.0, 560.0]]])
    page = levelled(np.concatenate([ends, sticker]))
    assert np.abs(rise(page[:-1])).max() < 0.25
    assert rise(page)[-1] > 2


def test_short_lines_tell_nothing() -> None:
    """Many percent cells that the finder saw tilted must not bend the few lines beside them."""
    few = lines(count=4, pitch=200)
    cells = [[[x, y], [x + 1.5 * HEIGHT, y + 18]] for y in range(110, 900, 40) for x in (720, 780, 840)]
    page = levelled(np.concatenate([few, np.array(cells, np.float64)]))
    assert np.abs(rise(page[:4])).max() < 1e-4


def test_other_points_move_with_the_lines() -> None:
    ends = fanned(chords())
    level = make_level(ends, np.full(len(ends), HEIGHT))
    middles = level.page(ends.mean(axis=1))
    assert middles[:, 1] == pytest.approx(level.page(ends).mean(axis=1)[:, 1], abs=0.1 * HEIGHT)
    assert level.page(ends[0, 0]).shape == (2,)


@pytest.mark.parametrize("degrees", [0, -30, 140])
def test_the_way_print_runs_stays_at_one_height_of_the_page(degrees: float) -> None:
    ends = turned(fanned(chords()), degrees)
    level = make_level(ends, np.full(len(ends), HEIGHT))
    points = ends.mean(axis=1)
    way = level.along(points)
    step = 0.01 * way
    assert np.linalg.norm(way, axis=1) == pytest.approx(1)
    assert level.page(points + step)[:, 1] == pytest.approx(level.page(points - step)[:, 1], abs=1e-6)
    assert (level.page(points + step)[:, 0] > level.page(points)[:, 0]).all()
    true = ends[:, 1] - ends[:, 0]
    true /= np.linalg.norm(true, axis=1, keepdims=True)
    assert np.degrees(np.arccos((way * true).sum(axis=1).clip(-1, 1))).max() < 2
