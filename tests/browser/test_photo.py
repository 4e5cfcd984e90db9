"""A photo on its way out, what the reader makes of it, and every way round a photo that fails."""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import expect

from tests.browser.conftest import Arrive
from tests.browser.driving import DESK, GRANOLA, LABEL, Shopper
from tests.browser.screens import doubtful_granola
from tests.making import SAMPLES, sample

pytestmark = pytest.mark.browser

LONGEST = 2200
GRANOLA_PHOTO = SAMPLES / "fda_sample.png"
ORIENTATIONS = range(1, 9)
CORNER = (220, 30, 30)
TRANSPOSED = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}
"""How the pixels of a photo lie in the file, by the EXIF orientation that sets them right again."""


def jpeg(path: Path, size: tuple[int, int], orientation: int = 1) -> Path:
    """Write a photo whose upright view is ``size``, white with a red corner at the top left."""
    picture = Image.new("RGB", size, "white")
    picture.paste(CORNER, (0, 0, size[0] // 4, size[1] // 4))
    if orientation in TRANSPOSED:
        picture = picture.transpose(TRANSPOSED[orientation])
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F] = "where it was taken"
    picture.save(path, exif=exif, quality=92)
    return path


def sent_by(shopper: Shopper, photo: Path) -> tuple[dict[str, str], bytes]:
    """Send a photo and return the headers and body that left the page."""
    with shopper.page.expect_request("**/api/panels/read*") as waiting:
        shopper.choose_photo(photo)
    body = waiting.value.post_data_buffer
    assert body is not None
    return waiting.value.headers, body


def test_taking_and_choosing_are_two_inputs_and_only_one_opens_the_camera(shopper: Arrive) -> None:
    inputs = shopper().arrive().page.locator("#label input[type=file]")

    assert [one.get_attribute("capture") for one in inputs.all()] == ["environment", None]
    assert all(one.get_attribute("accept") == "image/*" for one in inputs.all())


@pytest.mark.parametrize("orientation", ORIENTATIONS)
def test_a_large_photo_goes_out_small_upright_and_without_its_history(
    shopper: Arrive, tmp_path: Path, orientation: int
) -> None:
    one = shopper().arrive().answer_photos_with(sample("fda_sample"))

    headers, body = sent_by(one, jpeg(tmp_path / "photo.jpg", (3000, 4000), orientation))

    picture = Image.open(io.BytesIO(body))
    assert headers["content-type"] == "image/jpeg"
    assert (picture.format, picture.size) == ("JPEG", (1650, LONGEST))
    assert not picture.getexif()
    red, green, blue = picture.convert("RGB").getpixel((40, 40))  # type: ignore[misc]
    assert red > 180
    assert max(green, blue) < 90


def test_a_small_png_goes_out_as_it_is(shopper: Arrive, tmp_path: Path) -> None:
    photo = tmp_path / "small.png"
    Image.new("RGB", (300, 400), "white").save(photo)
    one = shopper().arrive().answer_photos_with(sample("fda_sample"))

    headers, body = sent_by(one, photo)

    assert headers["content-type"] == "image/png"
    assert body == photo.read_bytes()


def test_a_photo_that_would_come_out_blank_is_sent_as_it_is(shopper: Arrive, tmp_path: Path) -> None:
    photo = tmp_path / "blank.jpg"
    Image.new("RGB", (3000, 2000), "white").save(photo)
    one = shopper().arrive().answer_photos_with(sample("fda_sample"))

    assert sent_by(one, photo)[1] == photo.read_bytes()


def test_a_file_that_is_no_picture_is_told_and_not_sent(shopper: Arrive, tmp_path: Path) -> None:
    note = tmp_path / "note.txt"
    note.write_text("not a picture")
    one = shopper().arrive()
    sent: list[str] = []
    one.page.on("request", lambda request: sent.append(request.url) if "read" in request.url else None)

    one.choose_photo(note)

    expect(one.page.locator("#label .problem")).to_contain_text("not a picture")
    assert sent == []


def test_doubtful_lines_come_first_with_their_place_on_the_photo(shopper: Arrive) -> None:
    one = shopper().arrive().answer_photos_with(doubtful_granola())
    one.choose_photo(GRANOLA_PHOTO)
    one.page.wait_for_selector(".look")

    names = [name.lower() for name in one.page.locator(".look .row-name").all_inner_texts()]
    assert names == ["serving weight", "sodium", "carbohydrate"]
    crop = one.page.locator(".look .row", has=one.field("sodium")).locator("canvas")
    expect(crop).to_be_visible()
    ink = crop.evaluate(
        """(canvas) => {
            const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
            const grey = Array.from(data).filter((_, place) => place % 4 === 0);
            const count = (fits) => grey.filter(fits).length;
            return { dark: count((one) => one < 90), light: count((one) => one > 200) };
        }"""
    )
    assert ink["dark"] > 500
    assert ink["light"] > ink["dark"]
    expect(crop).to_have_accessible_name("Your photo, the line with sodium")


def test_a_doubtful_line_is_corrected_a_missing_one_typed_and_the_numbers_follow(shopper: Arrive) -> None:
    one = shopper().arrive().answer_photos_with(doubtful_granola())
    one.choose_photo(GRANOLA_PHOTO)
    one.page.wait_for_selector(".look")

    one.fill({"sodium": "160", "carbohydrate": "37"})
    one.page.locator(".look .row", has=one.field("metric")).locator(".agree").click()
    expect(one.page.locator(".look h3")).to_have_text("All marked lines are checked")
    one.go_on()

    right = sample("fda_sample")
    answer = one.ask_service("portions", {"panel": right, "amount": {"count": 1, "measure": "fist"}})
    for key in ("energy", "carbohydrate", "fat", "sodium"):
        assert one.value(key) == f"{answer['nutrients'][key]['value']:g}"
    assert one.page.locator(".insights .look_again").count() == 0


def test_doubtful_lines_left_alone_are_said_beside_the_numbers(shopper: Arrive) -> None:
    one = shopper().arrive().answer_photos_with(doubtful_granola())
    one.choose_photo(GRANOLA_PHOTO)
    one.page.wait_for_selector(".look")

    one.go_on()

    expect(one.page.locator(".insights .look_again")).to_contain_text("sodium")
    expect(one.page.locator(".card.sodium")).to_have_class("card sodium is-doubtful")
    assert one.page.locator(".card.carbohydrate .value").inner_text() == "–"


def test_the_photo_stands_beside_the_form_on_a_desk(shopper: Arrive) -> None:
    one = shopper(DESK).arrive().answer_photos_with(doubtful_granola())
    one.choose_photo(GRANOLA_PHOTO)

    expect(one.page.locator("img.beside")).to_be_visible()


def test_reading_shows_that_it_goes_on_and_can_be_cancelled(shopper: Arrive) -> None:
    one = shopper().arrive().answer_photos_with(sample("fda_sample"), held=True)
    one.choose_photo(GRANOLA_PHOTO)
    expect(one.page.locator(".busy [role=status]")).to_have_text(re.compile("^(Sending|Reading)"))

    one.page.locator(".busy button").first.click()

    expect(one.page.locator("#label .choices")).to_be_visible()
    expect(one.page.locator("#label .problem")).to_be_hidden()


def test_typing_is_open_while_a_photo_is_read(shopper: Arrive) -> None:
    one = shopper().arrive().answer_photos_with(sample("fda_sample"), held=True)
    one.choose_photo(GRANOLA_PHOTO)
    one.page.locator(".busy button").last.click()

    one.fill(LABEL | GRANOLA).go_on()

    assert one.value("energy") == "345"


def test_a_read_that_takes_too_long_ends_by_itself(shopper: Arrive) -> None:
    one = shopper()
    one.page.clock.install()
    one.arrive().answer_photos_with(sample("fda_sample"), held=True)
    one.choose_photo(GRANOLA_PHOTO)
    one.wait_until_sent()

    for _ in range(31):
        one.page.clock.run_for(1000)
        one.page.wait_for_timeout(20)  # for the service's sign of life, which is asked for meanwhile

    expect(one.page.locator("#label .problem")).to_contain_text("30 seconds")
    expect(one.page.locator("#label .choices")).to_be_visible()


@pytest.mark.parametrize("lang", ["en", "es"])
def test_what_the_service_says_is_shown_as_it_says_it(shopper: Arrive, lang: str) -> None:
    error = {"error": {"code": "no_panel", "message": "No panel here.", "fields": {}}}
    one = shopper(lang=lang).arrive().answer_photos_with(error, status=422)
    with one.page.expect_request(f"**/api/panels/read?lang={lang}"):
        one.choose_photo(GRANOLA_PHOTO)

    expect(one.page.locator("#label .problem")).to_have_text("No panel here.")
    expect(one.page.locator("#label .choices")).to_be_visible()
    one.troubles.clear()  # Chromium reports the 422 itself


def test_without_signal_typing_still_works(shopper: Arrive) -> None:
    one = shopper().arrive()
    one.page.context.set_offline(offline=True)
    one.choose_photo(GRANOLA_PHOTO)
    expect(one.page.locator(".waiting h3")).to_contain_text("waits")

    one.start_typing().fill(LABEL | GRANOLA).go_on()

    assert one.value("energy") == "345"
    one.troubles.clear()  # Chromium reports the failed requests itself


def test_typed_work_is_not_given_up_for_a_photo_without_asking(shopper: Arrive) -> None:
    one = shopper().arrive().answer_photos_with(sample("fda_sample"))
    one.start_typing().fill({"fat": "3"})
    one.page.locator("#steps a").first.click()
    one.choose_photo(GRANOLA_PHOTO)

    one.page.locator(".question [data-answer=no]").click()

    one.page.locator("#steps a").nth(1).click()
    assert one.field("fat").input_value() == "3"


def test_the_language_may_change_while_a_photo_is_read(shopper: Arrive) -> None:
    one = shopper().arrive().answer_photos_with(doubtful_granola(), held=True)
    one.choose_photo(GRANOLA_PHOTO)
    one.page.wait_for_selector(".busy:not([hidden])")

    with one.page.expect_request("**/api/panels/read?lang=es"):
        one.page.locator("#speak-es").click()
    expect(one.page.locator(".busy")).to_be_visible()


def test_a_label_that_says_dry_is_asked_whether_it_is_eaten_cooked(shopper: Arrive) -> None:
    rice = {key: value for key, value in sample("white_rice").items() if key != "food"}
    one = shopper().arrive().answer_photos_with(rice)
    one.choose_photo(SAMPLES / "white_rice.png")
    one.page.wait_for_selector("#check form")
    expect(one.page.locator(".hint", has_text="Every line looks right")).to_be_visible()
    one.go_on()

    one.page.locator("input[name=cooked][value=true]").check()
    expect(one.page.locator("#food-fault")).to_be_visible()
    one.page.locator("#food").fill("white rice")
    one.page.locator("#food").blur()

    amount = {"count": 1, "measure": "fist", "cooked": True}
    question = {"panel": rice, "amount": amount, "food": "white rice"}
    answer = one.ask_service("portions", question)
    assert one.value("energy") == f"{answer['nutrients']['energy']['value']:g}"


def test_the_labels_own_words_for_the_serving_stay_until_they_are_edited(shopper: Arrive) -> None:
    one = shopper().arrive().answer_photos_with(sample("white_rice"))
    one.choose_photo(SAMPLES / "white_rice.png")
    one.page.wait_for_selector("#check form")
    one.go_on()
    gist = one.page.locator("#check .gist")
    expect(gist).to_contain_text("1/4 cup (45g) dry")

    one.page.locator("#check .folded button").click()
    one.fill({"household": "1/3"}).go_on()

    expect(gist).to_contain_text("1/3 cup (45 g)")


@pytest.mark.ocr
@pytest.mark.parametrize("name", ["fda_sample", "peanut_butter"])
def test_a_sample_label_is_read_for_real(shopper: Arrive, name: str) -> None:
    """Each main value is either right or put forward to be checked, never wrong and sure."""
    one = shopper().arrive()
    one.choose_photo(SAMPLES / f"{name}.png")
    one.page.wait_for_selector("#check form", timeout=30_000)

    truth: dict[str, Any] = sample(name)["nutrients"]
    forward = one.page.locator(".look .row.is-doubtful")
    for key in ("energy", "fat", "sodium", "carbohydrate"):
        text = one.field(key).input_value()
        assert text == f"{truth[key]['value']:g}" or forward.filter(has=one.field(key)).count(), key
