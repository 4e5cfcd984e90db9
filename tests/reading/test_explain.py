"""The picture of a reading: every field beside its print, in the colour of its state, and safe to keep."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageColor

from shelfcheck.cli import main
from shelfcheck.errors import InvalidInputError
from shelfcheck.panel import Doubt, State
from shelfcheck.reading import Leaf, pen, read_panel, reader
from shelfcheck.reading.explain import LONGEST, draw, keep
from shelfcheck.reading.labels import GAP, WIDTH, lay_out
from shelfcheck.reading.leaf import quad_of
from shelfcheck.reading.notes import Note, Part, find_notes
from shelfcheck.reading.photo import Picture
from shelfcheck.reading.reader import Reading, understand
from tests.making import SAMPLES
from tests.reading.replay import stored_words

NAME = "fda_sample"
PHOTO = SAMPLES / f"{NAME}.png"


class Stored:
    """An engine that says what was stored, on a picture of the panel alone."""

    name = "stored"

    def read(self, picture: Picture) -> Leaf:  # noqa: ARG002
        words = stored_words(NAME)
        return Leaf(tuple(words), tuple(quad_of(word.box) for word in words))

    def read_wider(self, picture: Picture) -> Leaf | None:  # noqa: ARG002
        return None


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reader, "engine_for", lambda _lang: Stored())


@pytest.fixture
def reading() -> Reading:
    return read_panel(PHOTO.read_bytes())


def doubted(reading: Reading, *doubts: Doubt) -> Reading:
    return Reading(
        reading.panel.with_doubts(doubts),
        reading.picture,
        reading.leaf,
        reading.page,
        reading.fields,
        reading.serving,
    )


def shows(picture: Image.Image, colour: str, box: tuple[float, float, float, float]) -> bool:
    """Tell whether a colour stands in a part of the picture, nearly pure."""
    part = np.asarray(picture.crop(tuple(round(edge) for edge in box)), np.int16)
    return bool((np.abs(part - np.array(ImageColor.getrgb(colour))).sum(axis=-1) < 24).any())


def kept_as(path: Path) -> tuple[str | None, tuple[int, int]]:
    with Image.open(path) as image:
        return image.format, image.size


def place_of(reading: Reading, text: str, picture: Image.Image) -> tuple[float, float, float, float]:
    """Return where a word's frame is on the picture."""
    left, top, wide, high = next(word.box for word in reading.leaf.words if word.text.strip(",") == text)
    scale = (picture.width - WIDTH) / reading.picture.gray.shape[1]
    return (
        left * scale - 8,
        top * scale - 8,
        (left + wide) * scale + 8,
        (top + high) * scale + 8,
    )


def notes_by_name(reading: Reading, lang: str = "en") -> dict[str, Note]:
    return {note.name: note for note in find_notes(reading, lang)}


def test_each_field_is_framed_in_the_colour_of_its_state(reading: Reading) -> None:
    seen = doubted(reading, Doubt("nutrients.sodium", "unclear"))
    picture = draw(seen)

    assert shows(picture, pen.COLOURS["check"], place_of(seen, "160mg", picture))
    assert not shows(picture, pen.COLOURS["sure"], place_of(seen, "160mg", picture))
    assert shows(picture, pen.COLOURS["sure"], place_of(seen, "37g", picture))
    assert not shows(picture, pen.COLOURS["check"], place_of(seen, "37g", picture))


def test_beside_the_photo_stands_each_field_with_its_value_and_reasons(reading: Reading) -> None:
    seen = doubted(reading, Doubt("nutrients.sodium", "unclear"), Doubt("photo", "photo_blurred"))
    notes = find_notes(seen)
    by_name = notes_by_name(seen)

    assert (notes[0].name, notes[0].state, notes[0].why) == (
        "The photo",
        "check",
        ("The photo looks blurred.",),
    )
    assert by_name["Servings per container"].parts[0].value == "8"
    assert by_name["Serving size"].parts[0].value == "2/3 cup, 55 g"
    assert by_name["Sodium"].parts[0].value == "160 mg   7 %"
    assert by_name["Sodium"].state == "check"
    assert len(by_name["Sodium"].why) == 1
    assert by_name["Calories"].parts[0].value == "230"
    assert by_name["Fat"].why == ()


def test_a_field_that_was_not_found_is_listed_as_not_read() -> None:
    words = [word for word in stored_words(NAME) if word.text not in ("Sodium", "160mg", "7%")]
    leaf = Leaf(tuple(words), tuple(quad_of(word.box) for word in words))
    seen = understand(Picture(np.asarray(Image.open(PHOTO).convert("L"))), leaf)

    note = notes_by_name(seen)["Sodium"]

    assert (note.state, note.parts[0].value, note.anchor) == ("missing", "", None)
    assert note.why


def test_both_languages_are_spoken(reading: Reading) -> None:
    seen = doubted(reading, Doubt("nutrients.sodium", "unclear"))
    english, spanish = (notes_by_name(seen, lang) for lang in ("en", "es"))

    assert spanish["Sodio"].why != english["Sodium"].why
    assert "Tamaño de la porción" in spanish
    assert draw(seen, "es").tobytes() != draw(seen, "en").tobytes()


@pytest.mark.parametrize("size", [(60, 2900), (2900, 60), (30, 30), (3000, 2200)])
def test_pictures_of_every_shape_fit(reading: Reading, size: tuple[int, int]) -> None:
    gray = np.full(size[::-1], 200, np.uint8)
    seen = Reading(reading.panel, Picture(gray), reading.leaf, reading.page, reading.fields, reading.serving)

    picture = draw(seen)

    assert picture.mode == "RGB"
    assert max(picture.size) <= LONGEST


def test_a_photo_that_lies_on_its_side_is_shown_upright(reading: Reading) -> None:
    high, wide = reading.picture.gray.shape
    quads = tuple(tuple((high - y, x) for x, y in quad) for quad in reading.leaf.quads)
    side = Picture(np.rot90(reading.picture.gray, -1))
    seen = Reading(
        reading.panel,
        side,
        Leaf(reading.leaf.words, quads),
        reading.page,
        reading.fields,
        reading.serving,
    )

    upright, turned = draw(reading), draw(seen)

    assert upright.size == turned.size
    difference = np.abs(np.asarray(upright, np.int16) - np.asarray(turned, np.int16))
    assert difference.mean() < 1.0
    assert wide != high


def notes_at(heights: list[float | None], state: State = "check", why: int = 1) -> Iterator[Note]:
    for number, height in enumerate(heights):
        spots = () if height is None else (quad_of((0, round(height), 40, 20)),)
        yield Note(f"Field {number}", (Part("1 g", state, spots),), ("This stands here for a while.",) * why)


@pytest.mark.parametrize(
    "heights",
    [
        [200.0, 600.0, 1000.0],
        [500.0] * 12,
        [900.0, 100.0, 500.0],
        [None, None, 300.0, None],
        [1590.0] * 4,
        [0.0] * 4,
        [],
        [float(20 * at) for at in range(70)],
    ],
)
def test_labels_keep_their_order_and_never_cover_each_other(heights: list[float | None]) -> None:
    labels, low = lay_out(list(notes_at(heights)), 100, 900, 1600)

    assert [label.note.name for label in labels] == [f"Field {n}" for n in range(len(heights))]
    tops = [label.top for label in labels]
    ends = [label.top + label.height + GAP for label in labels]
    assert all(end <= top + 1 for end, top in zip(ends, tops[1:], strict=False))
    assert all(top >= 100 for top in tops)
    assert all(end <= low + 1 for end in ends)


def test_a_label_stands_at_the_height_of_its_print_where_there_is_room() -> None:
    labels, _ = lay_out(list(notes_at([300.0, 900.0])), 100, 1600, 1600)

    assert [label.top + label.first for label in labels] == pytest.approx([310, 910], abs=1)


def test_long_sentences_are_broken_to_fit() -> None:
    sentence = "This stands on the label twice and was read in two ways which do not agree at all"

    lines = list(pen.wrapped(sentence, 15, 200))

    assert " ".join(lines) == sentence
    assert len(lines) > 2
    assert all(pen.width_of(line, 15) <= 200 for line in lines)


def test_without_fonts_on_the_machine_it_is_still_drawn(
    reading: Reading, monkeypatch: pytest.MonkeyPatch
) -> None:
    pen._installed.cache_clear()
    pen._font.cache_clear()
    with monkeypatch.context() as patch:
        patch.setattr(pen, "_FONTS", {False: (), True: ()})
        assert pen._known("Calorías: 1 %") == "Calorias: 1 %"
        assert draw(reading, "es").width > WIDTH
    pen._installed.cache_clear()
    pen._font.cache_clear()


@pytest.mark.parametrize(("ending", "kind"), [("png", "PNG"), ("jpg", "JPEG"), ("webp", "WEBP")])
def test_the_picture_is_kept_in_the_kind_that_its_name_ends_with(
    reading: Reading, tmp_path: Path, ending: str, kind: str
) -> None:
    path = tmp_path / f"seen.{ending}"

    keep(reading, str(path))

    assert kept_as(path) == (kind, draw(reading).size)


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("none/seen.png", "Choose a folder that exists"),
        (".", "End the name with .png"),
        ("folder.png", "cannot be written"),
        ("seen", "End the name with .png"),
        ("seen.json", "End the name with .png"),
        ("long" * 100 + ".png", "cannot be written"),
    ],
)
def test_it_says_clearly_why_a_file_cannot_be_written(
    reading: Reading, tmp_path: Path, name: str, says: str
) -> None:
    (tmp_path / "folder.png").mkdir()

    with pytest.raises(InvalidInputError) as refused:
        keep(reading, str(tmp_path / name))

    assert says in refused.value.message
    assert [path.name for path in tmp_path.iterdir()] == ["folder.png"]


def test_the_command_prints_the_panel_and_keeps_the_picture(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "seen.png"

    assert main(["read", str(PHOTO), "--explain", str(target), "--lang", "es"]) == 0

    assert "calorías" in capsys.readouterr().out
    assert kept_as(target)[0] == "PNG"


@pytest.mark.parametrize("way", ["same", "link", "hard link", "copy"])
def test_the_photo_is_never_written_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], way: str
) -> None:
    photo, target = tmp_path / "photo.png", tmp_path / "seen.png"
    photo.write_bytes(PHOTO.read_bytes())
    if way == "same":
        target = photo
    elif way == "link":
        target.symlink_to(photo)
    elif way == "hard link":
        target.hardlink_to(photo)
    else:
        target.write_bytes(photo.read_bytes())

    assert main(["read", str(photo), "--explain", str(target)]) == 2

    assert "another file name" in capsys.readouterr().err
    assert target.read_bytes() == photo.read_bytes() == PHOTO.read_bytes()


def test_the_photo_on_standard_input_is_not_written_over_either(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    photo = tmp_path / "photo.png"
    photo.write_bytes(PHOTO.read_bytes())
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(photo.read_bytes())))

    assert main(["read", "-", "--explain", str(photo)]) == 2

    assert "another file name" in capsys.readouterr().err
    assert photo.read_bytes() == PHOTO.read_bytes()


def test_another_picture_is_written_over(tmp_path: Path) -> None:
    target = tmp_path / "seen.png"
    Image.new("L", (9, 9)).save(target)

    assert main(["read", str(PHOTO), "--explain", str(target)]) == 0
    assert kept_as(target)[1][0] > WIDTH


@pytest.mark.parametrize("name", ["", "none/seen.png"])
def test_a_picture_that_cannot_be_kept_ends_the_command(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, name: str
) -> None:
    assert main(["read", str(PHOTO), "--explain", name and str(tmp_path / name)]) == 2
    printed = capsys.readouterr()

    assert printed.out == ""
    assert "End the name" in printed.err or "cannot be written" in printed.err


def test_a_typed_panel_has_no_photo_to_draw_on(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    target = tmp_path / "seen.png"

    assert main(["read", str(SAMPLES / f"{NAME}.json"), "--explain", str(target)]) == 2

    assert "Give --explain with a photo" in capsys.readouterr().err
    assert not target.exists()
