"""Cells to strokes, and what one asks of strokes: points, corners, and the same under a map."""

from __future__ import annotations

import numpy as np
import pytest

from shelfcheck.reading.strokes import Cells, Floats, Strokes

CELL, UP, DOWN = 4.0, 9.0, 12.0
TALL = UP + DOWN
INSET = 0.15


def row(start: tuple[float, float], degrees: float, count: int, bulge: float = 0.0) -> Cells:
    """``count`` cells in a row from ``start``, the middle one ``bulge`` pixels above the ends' chord."""
    along = np.array([np.cos(np.radians(degrees)), np.sin(np.radians(degrees))])
    normal = np.array([-along[1], along[0]])
    t = np.arange(count) * CELL
    half = t[-1] / 2
    lift = bulge * (((t - half) / half) ** 2 - 1) if bulge else np.zeros(count)
    place = np.array(start) + t[:, None] * along + lift[:, None] * normal
    slope = 2 * bulge * (t - half) / half**2
    tangent = along + slope[:, None] * normal
    tangent /= np.linalg.norm(tangent, axis=1, keepdims=True)
    return Cells(place, tangent, np.full(count, UP), np.full(count, DOWN))


def through(*rows: Cells) -> Strokes:
    which = np.repeat(np.arange(len(rows)), [len(each.place) for each in rows]).astype(np.int32)
    cells = Cells(*(np.concatenate(parts) for parts in zip(*rows, strict=True)))
    return Strokes.through(which, cells, INSET, CELL / 2)


@pytest.fixture
def strokes() -> Strokes:
    """A straight stroke that climbs, one that bulges, and one that reads from right to left and grows."""
    last, growing = row((400, 500), 175, 30), np.linspace(0.9, 1.1, 30)
    last = last._replace(up=last.up * growing, down=last.down * growing)
    return through(row((40, 90), -20, 40), row((30, 300), 10, 60, bulge=15), last)


def turned(degrees: float, scale: float, shift: tuple[float, float]) -> Floats:
    cos, sin = scale * np.cos(np.radians(degrees)), scale * np.sin(np.radians(degrees))
    return np.array([[cos, -sin, shift[0]], [sin, cos, shift[1]]])


@pytest.mark.parametrize("degrees", [0, 30, -75, 90, 180, -135])
def test_a_straight_row_gives_its_line(degrees: float) -> None:
    cells = row((100, 200), degrees, 50)
    (found,) = (through(cells),)
    along = np.array([np.cos(np.radians(degrees)), np.sin(np.radians(degrees))])
    assert len(found) == 1
    assert found.origin[0] == pytest.approx(cells.place.mean(axis=0))
    assert found.along[0] == pytest.approx(along, abs=1e-6)
    assert found.tall[0] == pytest.approx([TALL, 0], abs=1e-9)
    # Cells stand in the middle of the line's letters, which reach further down than up.
    assert found.bend[0] == pytest.approx([(DOWN - UP) / 2, 0, 0], abs=0.01)
    long = 49 * CELL / 2
    assert found.ends[0] == pytest.approx([-long - CELL / 2 - INSET * TALL, long + CELL / 2 + INSET * TALL])


def test_a_bent_row_gives_its_bend() -> None:
    bulge, count = 15, 60
    found, half = through(row((30, 300), 10, count, bulge)), 59 * CELL / 2
    # A little stiff: the bend is at least four fifths of the true one, and never more.
    assert 0.8 < found.bend[0, 2] * half**2 / bulge <= 1
    assert found.bend[0, 1] * half == pytest.approx(0, abs=0.1)
    assert found.along[0] == pytest.approx([np.cos(np.radians(10)), np.sin(np.radians(10))], abs=1e-6)


def test_a_bent_row_is_followed_to_a_tenth_of_its_height() -> None:
    cells = row((30, 300), 10, 60, bulge=15)
    found = through(cells)
    t = ((cells.place - found.origin[0]) * found.along[0]).sum(axis=1)
    middle = cells.place + (DOWN - UP) / 2 * np.stack([-cells.along[:, 1], cells.along[:, 0]], axis=-1)
    astray = np.linalg.norm(found.points(t[None])[0] - middle, axis=1)
    assert astray.max() < 0.1 * TALL
    straight = found.origin[0] + t[:, None] * found.along[0]
    assert np.linalg.norm(straight - middle, axis=1).max() > 0.4 * TALL


def test_a_short_row_tells_no_bend_and_reads_as_its_cells_say() -> None:
    cells = row((100, 100), 0, 6)
    cells.place[:, 1] += np.array([0, 3, 5, 5, 3, 0])
    found = through(cells)
    assert found.bend[0, 1:] == pytest.approx([0, 0])
    one = through(Cells(np.array([[50.0, 60.0]]), np.array([[0.0, 1.0]]), np.array([UP]), np.array([DOWN])))
    assert one.along[0] == pytest.approx([0, 1])
    assert one.origin[0] == pytest.approx([50, 60])
    assert np.isfinite(one.quads(np.array([[0.0, 1.0]]))).all()


def test_print_that_grows_along_its_line_is_followed() -> None:
    cells = row((0, 0), 0, 50)
    growing = np.linspace(0.9, 1.1, 50)
    found = through(cells._replace(up=cells.up * growing, down=cells.down * growing))
    long = 49 * CELL / 2
    assert found.tall[0, 0] - found.tall[0, 1] * long == pytest.approx(0.9 * TALL, rel=0.03)
    assert found.tall[0, 0] + found.tall[0, 1] * long == pytest.approx(1.1 * TALL, rel=0.03)


def test_cells_of_two_lines_in_one_stroke_are_told_apart() -> None:
    upper, lower = row((0, 100), 0, 40), row((0, 100 + TALL), 0, 40)
    cells = Cells(*(np.concatenate(parts) for parts in zip(upper, lower, strict=True)))
    which = np.zeros(80, np.int32)
    astray = Strokes.through(which, cells, INSET, CELL / 2).astray(which, cells)
    assert astray[:40] == pytest.approx(np.full(40, -0.5), abs=0.02)
    assert astray[40:] == pytest.approx(np.full(40, 0.5), abs=0.02)
    alone = np.zeros(40, np.int32)
    assert through(upper).astray(alone, upper) == pytest.approx(np.zeros(40), abs=0.01)


@pytest.mark.parametrize("across", [-0.5, 0.0, 0.5])
@pytest.mark.parametrize(("degrees", "scale"), [(0, 1), (90, 1), (33, 2.5), (-150, 0.4)])
def test_moving_strokes_moves_their_points(
    strokes: Strokes, degrees: float, scale: float, across: float
) -> None:
    similar = turned(degrees, scale, (70, -30))
    parts = np.linspace(0, 1, 7)
    moved = strokes.moved(similar)
    here, there = (
        each.points(each.ends[:, :1] + (each.ends[:, 1:] - each.ends[:, :1]) * parts, across)
        for each in (strokes, moved)
    )
    assert there == pytest.approx(here @ similar[:, :2].T + similar[:, 2])
    assert moved.tall[:, 0] == pytest.approx(strokes.tall[:, 0] * scale)


def test_moving_there_and_back_changes_nothing(strokes: Strokes) -> None:
    there = turned(40, 1.7, (5, 9))
    linear = np.linalg.inv(there[:, :2])
    back = np.column_stack([linear, -linear @ there[:, 2]])
    again = strokes.moved(there).moved(back)
    for name in ("origin", "along", "bend", "ends", "tall"):
        assert getattr(again, name) == pytest.approx(getattr(strokes, name)), name


def test_corners_are_points_half_a_height_from_the_middle(strokes: Strokes) -> None:
    parts = np.array([[0.0, 1.0], [0.25, 0.5], [0.9, 1.0]])
    quads = strokes.quads(parts)
    t = strokes.ends[:, :1] + (strokes.ends[:, 1:] - strokes.ends[:, :1]) * parts
    assert quads.shape == (3, 4, 2)
    assert quads[:, [0, 1]] == pytest.approx(strokes.points(t, -0.5))
    assert quads[:, [3, 2]] == pytest.approx(strokes.points(t, 0.5))
    height = np.linalg.norm(quads[:, 3] - quads[:, 0], axis=1)
    assert height == pytest.approx(strokes.tall[:, 0] + strokes.tall[:, 1] * t[:, 0])


def test_corners_of_level_print_are_its_box() -> None:
    (quad,) = through(row((100, 200), 0, 50)).quads(np.array([[0.0, 1.0]]))
    room = CELL / 2 + INSET * TALL
    left, right, top, foot = 100 - room, 100 + 49 * CELL + room, 200 - UP, 200 + DOWN
    assert quad == pytest.approx(np.array([[left, top], [right, top], [right, foot], [left, foot]]), abs=0.01)


def test_only_some(strokes: Strokes) -> None:
    assert len(strokes.only(np.array([True, False, True]))) == 2
    assert strokes.only(np.array([2, 0])).origin == pytest.approx(strokes.origin[[2, 0]])


def test_short_strokes_can_be_led_the_way_of_the_page(strokes: Strokes) -> None:
    with_cell = through(row((40, 90), -20, 40), row((30, 300), 30, 5), row((30, 500), 10, 60, bulge=15))
    short = with_cell.short(3.0)
    assert short.tolist() == [False, True, False]
    led = with_cell.led(np.tile([1.0, 0.0], (3, 1)), short)
    assert led.along[1] == pytest.approx([1, 0])
    assert led.bend[1, 1:] == pytest.approx([0, 0])
    for number in (0, 2):
        assert led.along[number] == pytest.approx(with_cell.along[number])
        assert led.bend[number] == pytest.approx(with_cell.bend[number])
    assert not strokes.short(3.0).any()


def test_no_strokes() -> None:
    none = Strokes.none()
    empty = np.zeros((0, 2))
    assert len(none) == 0
    assert none.points(np.zeros((0, 5))).shape == (0, 5, 2)
    assert none.quads(empty).shape == (0, 4, 2)
    assert len(none.moved(turned(10, 2, (1, 1)))) == 0
    nothing = Strokes.through(
        np.zeros(0, np.int32), Cells(empty, empty, np.zeros(0), np.zeros(0)), INSET, 2.0
    )
    assert np.isfinite(nothing.ends).all()


def test_a_stroke_covers_those_whose_middle_lies_on_it() -> None:
    whole = through(row((30, 300), 10, 60, bulge=15))
    t = np.array([[0.0, 60.0, 200.0]])
    (inside, also, beyond), (below, *_) = whole.points(t)[0], whole.points(t, 0.8)[0]
    others = through(*(row((x - 4, y - (DOWN - UP) / 2), 10, 3) for x, y in (inside, also, beyond, below)))

    assert whole.covers(others).tolist() == [True, True, False, False]


def test_strokes_and_others_follow_each_other(strokes: Strokes) -> None:
    both = strokes.and_also(strokes.only(np.array([1])))

    assert len(both) == len(strokes) + 1
    assert both.only(np.array([len(strokes)])).origin.tolist() == strokes.origin[[1]].tolist()
