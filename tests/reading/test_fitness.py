"""What is measured of a photo, and what is said of it: never anything about a good one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFilter, ImageFont

from shelfcheck.errors import NotAPanelError
from shelfcheck.panel_json import panel_to_json
from shelfcheck.reading.fitness import measure
from shelfcheck.reading.leaf import Leaf, quad_of
from shelfcheck.reading.page import Word
from shelfcheck.reading.photo import Picture
from shelfcheck.reading.printed import measure_print, sharpest_edge
from shelfcheck.reading.reader import understand
from shelfcheck.reading.rows import find_lines

PANEL = (
    "Nutrition Facts",
    "8 servings per container",
    "Serving size 2/3 cup (55g)",
    "Calories 230",
    "Total Fat 8g 10%",
    "Saturated Fat 1g 5%",
    "Trans Fat 0g",
    "Cholesterol 0mg 0%",
    "Sodium 160mg 7%",
    "Total Carbohydrate 37g 13%",
    "Dietary Fiber 4g 14%",
    "Total Sugars 12g",
    "Protein 3g",
    "Vitamin D 2mcg 10%",
    "Calcium 260mg 20%",
)
SIZE = (1500, 2000)
AT, PRINT = (300, 250), 50


def drawn(
    lines: Sequence[str],
    size: int = PRINT,
    at: tuple[int, int] = AT,
    sure: float = 0.95,
    canvas: tuple[int, int] = SIZE,
) -> tuple[Image.Image, Leaf]:
    """Return a picture of lines of print, and the leaf that a perfect engine makes of it."""
    image, font = Image.new("L", canvas, 225), ImageFont.load_default(size)
    pen, words = ImageDraw.Draw(image), []
    for number, line in enumerate(lines):
        x, y = float(at[0]), at[1] + number * size * 2
        for text in line.split():
            pen.text((x, y), text, 30, font)
            box = (round(x), y, round(font.getlength(text)), round(size * 1.2))
            words.append(Word(text, box, sure, None, number))
            x += font.getlength(f"{text} ")
    return image, Leaf(tuple(words), tuple(quad_of(word.box) for word in words))


def picture(image: Image.Image) -> Picture:
    return Picture(np.asarray(image, np.uint8))


def soft(image: Image.Image) -> Image.Image:
    return image.filter(ImageFilter.GaussianBlur(9))


def moved(image: Image.Image) -> Image.Image:
    """Return the picture smeared sideways: up and down its edges stay sharp."""
    return Image.fromarray(
        np.mean([np.roll(np.asarray(image), by, 1) for by in range(31)], 0).astype(np.uint8)
    )


def dark(image: Image.Image) -> Image.Image:
    return image.point(lambda level: level // 9)


def faint(image: Image.Image) -> Image.Image:
    return image.point(lambda level: 235 + level // 20)


def dazzled(image: Image.Image) -> Image.Image:
    ImageDraw.Draw(image).ellipse((350, 800, 800, 1300), 255)
    return image


SPOILS = {"blurred": soft, "too_dark": dark, "glare": faint}


def what_is_said(image: Image.Image, leaf: Leaf) -> list[str]:
    panel = understand(picture(image), leaf).panel
    return [doubt.code for doubt in panel.doubts if doubt.field == "photo"]


def why_refused(image: Image.Image, leaf: Leaf, lang: str = "en") -> NotAPanelError:
    with pytest.raises(NotAPanelError) as refused:
        understand(picture(image), leaf, lang)
    return refused.value


def test_the_print_is_measured_in_pixels_and_levels() -> None:
    image, leaf = drawn(PANEL)

    found = measure_print(np.asarray(image), leaf)

    assert found is not None
    assert found.height == found.small == pytest.approx(PRINT * 1.2, abs=1)
    assert found.paper == pytest.approx(225, abs=3)
    assert found.contrast == pytest.approx(195, abs=15)
    assert found.edge < 3


@pytest.mark.parametrize("spoil", [soft, moved])
def test_blur_of_either_kind_makes_edges_wide(spoil: object) -> None:
    image, leaf = drawn(PANEL)

    clear, blurred = (measure_print(np.asarray(one), leaf) for one in (image, spoil(image)))  # type: ignore[operator]

    assert clear is not None
    assert blurred is not None
    assert clear.softness < 0.15
    assert blurred.softness > 2.5 * clear.softness


def test_a_wall_has_no_edges_to_be_sharp() -> None:
    assert sharpest_edge(np.full((900, 1200), 130, np.uint8)) is None


@pytest.mark.parametrize("cause", [None, *SPOILS])
def test_of_a_photo_that_reads_well_nothing_is_said(cause: str | None) -> None:
    image, leaf = drawn(PANEL)

    assert what_is_said(SPOILS[cause](image) if cause else image, leaf) == []


@pytest.mark.parametrize("cause", SPOILS)
def test_a_photo_is_blamed_once_when_many_fields_are_not_sure_and_it_is_the_likely_cause(cause: str) -> None:
    image, leaf = drawn(PANEL, sure=0.3)

    assert what_is_said(image, leaf) == []
    assert what_is_said(SPOILS[cause](image), leaf) == [f"photo_{cause}"]


def test_a_bright_spot_on_the_panel_is_glare() -> None:
    image, leaf = drawn(PANEL, sure=0.3)
    seen = [n for n, word in enumerate(leaf.words) if not 700 < word.box[1] < 1350]
    left = Leaf(tuple(leaf.words[n] for n in seen), tuple(leaf.quads[n] for n in seen))

    assert what_is_said(dazzled(image), left) == ["photo_glare"]


def test_small_print_is_too_far_away() -> None:
    image, leaf = drawn(PANEL, size=9, canvas=(2600, 1800), sure=0.3)

    assert what_is_said(image, leaf) == ["photo_too_far"]


def test_a_panel_that_runs_out_at_the_side_is_cut_off_and_nothing_on_it_is_sure() -> None:
    lines = [line.rpartition(" ")[0] if line.endswith("%") else line for line in PANEL]
    image, leaf = drawn(lines)
    last = {word.segment: number for number, word in enumerate(leaf.words)}
    edge = max(leaf.quads[number][1][0] for number in last.values())
    quads = [
        tuple((edge if at in (1, 2) else x, y) for at, (x, y) in enumerate(quad))
        if number in last.values()
        else quad
        for number, quad in enumerate(leaf.quads)
    ]
    cut = image.crop((0, 0, round(edge), image.height))

    panel = understand(picture(cut), Leaf(leaf.words, tuple(quads))).panel

    assert [doubt.code for doubt in panel.doubts if doubt.field == "photo"] == ["photo_cut_off"]
    assert "sure" not in {declared.state for declared in panel.nutrients.values()}
    assert panel.serving.servings_per_container.state == "check"


def test_a_panel_that_runs_out_at_the_top_is_cut_off() -> None:
    image, leaf = drawn(PANEL[6:], at=(300, 0))

    assert what_is_said(image, leaf) == ["photo_cut_off"]


def test_the_photos_doubt_marks_no_field_and_is_told_in_both_languages() -> None:
    image, leaf = drawn(PANEL, sure=0.3)
    panel = understand(picture(soft(image)), leaf).panel

    assert panel.marked("photo") == panel
    told = {lang: panel_to_json(panel, lang)["doubts"][-1] for lang in ("en", "es")}
    assert told["en"]["field"] == "photo"
    assert told["en"]["box"] is None
    assert told["en"]["reason"].startswith("The photo looks blurred.")
    assert told["es"]["reason"].startswith("La foto se ve borrosa.")


@pytest.mark.parametrize(
    ("lines", "reason", "says"),
    [
        (
            ["INGREDIENTS: Whole grain oats, sugar, corn starch, honey, salt, canola oil"],
            "ingredients_only",
            "Turn",
        ),
        (
            ["Pour 100 g", "Energie 1480 kJ", "354 kcal", "Glucides 62 g", "Sel 0,9 g"],
            "other_table",
            "country",
        ),
        (
            ["Garden Omelet 8.95", "Turkey Club 11.75", "House Salad 5.95", "Iced Tea 2.25"],
            "no_panel",
            "Fill",
        ),
    ],
)
def test_where_there_is_no_panel_the_sentence_fits_what_there_is(
    lines: list[str], reason: str, says: str
) -> None:
    refused = why_refused(*drawn(lines))

    assert (refused.code, refused.status, refused.reason) == ("no_panel", 422, reason)
    assert refused.message.startswith("No Nutrition Facts panel was found on this picture.")
    assert says in refused.message
    assert "type the label in" in refused.message
    assert set(refused.to_json()["error"]) == {"code", "message", "fields"}  # type: ignore[call-overload]


def test_half_a_panel_without_its_names_is_cut_off() -> None:
    amounts = [" ".join(line.split()[-2:]) for line in PANEL[4:] if "%" in line]

    assert why_refused(*drawn(amounts, at=(0, 250))).reason == "cut_off"
    assert why_refused(*drawn(amounts)).reason == "no_panel"


@pytest.mark.parametrize(("spoil", "reason"), [(soft, "blurred"), (dark, "too_dark"), (None, "no_panel")])
def test_a_photo_on_which_no_word_is_read_may_still_tell_why(spoil: object, reason: str) -> None:
    image, _ = drawn(PANEL)

    refused = why_refused(spoil(image) if spoil else image, Leaf(), "es")  # type: ignore[operator]

    assert refused.reason == reason
    assert refused.message.startswith("En esta imagen no se encontró")


@pytest.mark.parametrize("level", [0, 90, 255])
def test_a_picture_of_one_tone_is_dark_or_nothing(level: int) -> None:
    assert why_refused(Image.new("L", SIZE, level), Leaf()).reason == ("no_panel" if level else "too_dark")


def test_names_without_one_amount_are_no_panel() -> None:
    image, leaf = drawn(["Total Fat", "Sodium", "Protein", "Calcium"])

    assert why_refused(image, leaf).reason == "no_panel"


def test_words_at_the_very_corner_are_measured_too() -> None:
    image, leaf = drawn(PANEL, at=(0, 0))
    beyond = replace(leaf, quads=tuple(tuple((x - 40, y - 40) for x, y in quad) for quad in leaf.quads))

    assert measure(picture(image), beyond, find_lines(leaf.words)).words == len(leaf.words)
