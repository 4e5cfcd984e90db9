"""The whole way from bytes to a panel, with Tesseract itself where marked."""

import io
import subprocess
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from random import Random

import pytesseract
import pytest
from PIL import Image, ImageDraw

from sample_labels.invent import lawful_panel, random_style
from sample_labels.render import LAYOUTS, render_html, shoot
from shelfcheck.errors import NotAPanelError, ReaderFailedError, ReaderMissingError
from shelfcheck.panel_json import panel_to_json
from shelfcheck.reading import Leaf, Tesseract, read_panel
from shelfcheck.reading.leaf import quad_of
from shelfcheck.reading.page import Word
from shelfcheck.reading.photo import Picture
from tests.making import SAMPLES, sample
from tests.reading.judging import judge
from tests.reading.replay import stored_words

GRANOLA = (SAMPLES / "fda_sample.png").read_bytes()


class Replay:
    """An engine that says what was stored, the words shifted by (30, 20) from page to picture."""

    name = "replay"

    def __init__(self, words: list[Word]) -> None:
        self.words = tuple(words)

    def read_wider(self, picture: Picture) -> Iterator[Leaf]:  # noqa: ARG002
        yield from ()

    def read(self, picture: Picture) -> Leaf:
        assert picture.gray.ndim == 2
        boxes = [word.box for word in self.words]
        return Leaf(self.words, tuple(quad_of((box[0] + 30, box[1] + 20, box[2], box[3])) for box in boxes))


def png(image: Image.Image) -> bytes:
    out = io.BytesIO()
    image.save(out, "PNG")
    return out.getvalue()


def test_any_engine_can_read() -> None:
    reading = read_panel(GRANOLA, engine=Replay(stored_words("fda_sample")))

    assert [
        v.path for v in judge(sample("fda_sample"), panel_to_json(reading.panel)) if v.kind != "right"
    ] == []
    assert reading.page.lines
    assert reading.fields.own["fat"].values[0].value == 8


def test_doubts_point_at_the_upright_photo() -> None:
    words = [Word(word.text, word.box, 0.2) for word in stored_words("fda_sample")]
    reading = read_panel(GRANOLA, engine=Replay(words))

    boxes = {doubt.field: doubt.box for doubt in reading.panel.doubts}

    sodium = reading.fields.own["sodium"].box
    assert boxes["nutrients.sodium"] == (sodium[0] + 30, sodium[1] + 20, sodium[2], sodium[3])


def test_a_picture_of_one_tone_is_no_panel() -> None:
    with pytest.raises(NotAPanelError) as refused:
        read_panel(png(Image.new("L", (400, 400), 128)))

    assert refused.value.status == 422


def test_words_without_names_are_no_panel() -> None:
    words = [Word("INGREDIENTS:", (0, 0, 100, 20), 0.9), Word("oats", (110, 0, 40, 20), 0.9)]

    with pytest.raises(NotAPanelError):
        read_panel(GRANOLA, engine=Replay(words))


def test_a_missing_program_is_said_with_how_to_install_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pytesseract.pytesseract, "tesseract_cmd", "no-such-program")

    with pytest.raises(ReaderMissingError, match="apt install tesseract-ocr"):
        read_panel(GRANOLA, engine=Tesseract())


@pytest.mark.ocr
def test_a_program_that_takes_too_long_is_stopped() -> None:
    with pytest.raises(ReaderFailedError) as failed:
        read_panel(GRANOLA, engine=Tesseract(seconds=0.01))

    assert failed.value.status == 503


@pytest.mark.ocr
def test_a_picture_of_other_things_is_no_panel() -> None:
    image = Image.new("L", (500, 400), 255)
    ImageDraw.Draw(image).text((30, 30), "Wash hands before cooking.\nKeep cool.", fill=0, font_size=28)

    with pytest.raises(NotAPanelError):
        read_panel(png(image))


@pytest.mark.ocr
@pytest.mark.parametrize("layout", sorted(LAYOUTS))
def test_each_layout_is_read_without_a_silent_error(layout: str) -> None:
    rng = Random(layout)
    true = lawful_panel(rng, layout)
    html = render_html(true, layout, random_style(rng, layout))
    # A thread of its own: Playwright allows one driver a thread, and the tests of the page hold one.
    with ThreadPoolExecutor(1) as pool:
        (photo,) = pool.submit(lambda: list(shoot([html]))).result()

    verdicts = list(judge(true, panel_to_json(read_panel(photo).panel)))

    assert [verdict for verdict in verdicts if verdict.kind == "silent"] == []
    assert sum(v.kind == "right" for v in verdicts) >= 0.9 * sum(v.printed for v in verdicts)


@pytest.mark.ocr
@pytest.mark.parametrize("name", ["baking_cocoa", "peppermint_drops", "cherry_candy", "wheat_crackers"])
def test_samples_are_read_by_tesseract_itself(name: str) -> None:
    reading = read_panel((SAMPLES / f"{name}.png").read_bytes(), engine=Tesseract())

    assert [v.path for v in judge(sample(name), panel_to_json(reading.panel)) if v.kind != "right"] == []


@pytest.mark.ocr
def test_a_jpeg_of_a_sample_is_read_as_well() -> None:
    out = io.BytesIO()
    Image.open(io.BytesIO(GRANOLA)).convert("RGB").save(out, "JPEG", quality=80)

    verdicts = list(judge(sample("fda_sample"), panel_to_json(read_panel(out.getvalue()).panel)))

    assert {verdict.kind for verdict in verdicts if verdict.printed} <= {"right", "check"}


def test_the_core_of_reading_needs_neither_numpy_nor_pillow() -> None:
    rooms = (
        "rows",
        "candidates",
        "servings",
        "numerals",
        "nouns",
        "names",
        "pieces",
        "flows",
        "page",
        "leaf",
        "reconcile",
    )
    code = "import sys;" + "".join(f"sys.modules['{name}']=None;" for name in ("numpy", "PIL", "pytesseract"))
    code += "import types; pkg=types.ModuleType('shelfcheck.reading'); import shelfcheck;"
    code += "pkg.__path__=[shelfcheck.__path__[0]+'/reading']; sys.modules['shelfcheck.reading']=pkg;"
    code += "import importlib;" + "".join(
        f"importlib.import_module('shelfcheck.reading.{r}');" for r in rooms
    )

    assert subprocess.run(["python3", "-c", code], check=False, cwd=SAMPLES.parent).returncode == 0
