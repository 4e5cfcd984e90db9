"""What stands in a photo's file beside the picture is in no answer, no line of the log, and no count."""

from __future__ import annotations

import io
import json
import struct
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, PngImagePlugin

from tests.making import SAMPLES
from tests.test_serve import served

SECRET = "brown-badger"
PLACE = (47.620422, 122.349358)
MARKS = (SECRET, "47.62", "122.34", "47, 37", "122, 20", "Badger Phone")
KINDS = ("JPEG", "PNG", "WEBP")
Told = tuple[dict[str, list[tuple[int, str]]], str]


def noted(image: Image.Image, kind: str) -> bytes:
    """Return a picture with the secret in every place where its kind of file keeps notes."""
    exif = Image.Exif()
    exif[0x010E] = exif[0x8298] = exif[0x9C9C] = SECRET
    exif[0x0110] = "Badger Phone"
    gps = exif.get_ifd(0x8825)
    gps[1], gps[3] = "N", "W"
    for tag, degrees in zip((2, 4), PLACE, strict=True):
        gps[tag] = (int(degrees), int(degrees * 60 % 60), round(degrees * 3600 % 60, 2))
    exif.get_ifd(0x8769)[0x9286] = SECRET
    colours = bytearray(128) + SECRET.encode()
    colours[:4] = struct.pack(">I", len(colours))
    xmp = f'<x:xmpmeta xmlns:x="adobe:ns:meta/">{SECRET} 47.620422</x:xmpmeta>'.encode()
    more: dict[str, Any] = {"xmp": xmp}
    if kind == "JPEG":
        more |= {"comment": SECRET, "quality": 90}
    elif kind == "PNG":
        texts = PngImagePlugin.PngInfo()
        texts.add_text("Comment", SECRET)
        texts.add_text("Location", SECRET, zip=True)
        texts.add_itxt("XML:com.adobe.xmp", xmp.decode(), tkey=SECRET)
        more = {"pnginfo": texts}
    out = io.BytesIO()
    image.save(out, kind, exif=exif, icc_profile=bytes(colours), **more)
    return out.getvalue()


def sent(address: str, photo: bytes, kind: str) -> tuple[int, str]:
    """Return the status of an answer, and all of it: its head and its body."""
    headers = {"Content-Type": f"image/{kind.lower()}"}
    request = urllib.request.Request(f"{address}/api/panels/read", photo, headers)
    try:
        with urllib.request.urlopen(request, timeout=60) as answer:
            return answer.status, f"{answer.headers}{answer.read().decode()}"
    except urllib.error.HTTPError as refused:
        with refused:
            return refused.code, f"{refused.headers}{refused.read().decode()}"


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Told:
    """Return what a real service answered to photos of each kind, and all that it logged and counted."""
    folder: Path = tmp_path_factory.mktemp("notes")
    with Image.open(SAMPLES / "fda_sample.png") as image:
        label = image.convert("RGB")
    answers: dict[str, list[tuple[int, str]]] = {}
    with served("--log", "info", "--reads", "1", "--db", f"sqlite:///{folder}/tours.db") as (
        process,
        address,
    ):
        for kind in KINDS:
            photo, blank = noted(label, kind), noted(Image.new("RGB", (90, 90), "white"), kind)
            answers[kind] = [sent(address, each, kind) for each in (photo, blank, photo[:-9000])]
        with urllib.request.urlopen(f"{address}/metrics") as page:
            counts = page.read().decode()
        process.terminate()
        _, log = process.communicate(timeout=20)
    return answers, log + counts


@pytest.mark.parametrize("kind", KINDS)
def test_no_note_of_a_photo_is_in_an_answer(told: Told, kind: str) -> None:
    answers, _ = told

    assert [status for status, _ in answers[kind]] == [200, 422, 415]
    for _, answer in answers[kind]:
        assert [mark for mark in MARKS if mark.lower() in answer.lower()] == []


def test_no_note_of_a_photo_is_in_the_log_or_in_what_is_counted(
    told: Told,
) -> None:
    _, said = told

    assert [mark for mark in MARKS if mark.lower() in said.lower()] == []
    log = [json.loads(line) for line in said.splitlines() if line.startswith("{")]
    assert sum(line.get("route") == "/api/panels/read" for line in log) == 3 * len(KINDS)
    assert 'shelfcheck_reads_total{outcome="read"} 3.0' in said


@pytest.mark.parametrize("kind", KINDS)
def test_the_notes_are_in_the_photos_that_are_sent(kind: str) -> None:
    photo = noted(Image.new("RGB", (90, 90), "white"), kind)

    assert photo.count(SECRET.encode()) >= 3
    with Image.open(io.BytesIO(photo)) as image:
        image.load()
        assert image.getexif().get_ifd(0x8825)[1] == "N"
        assert image.getexif()[0x0110] == "Badger Phone"
        assert SECRET.encode() in image.info["icc_profile"]
