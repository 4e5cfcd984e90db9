"""One photograph: a pack posed before the camera of a tier, printed, lit, blurred and stored as a JPEG.

``photo(press, seed, tier, layout)`` always gives the same bytes on a machine, and the truth about them.
Positions in the truth are pixels of the upright photo, that is with the EXIF orientation applied.
"""

from __future__ import annotations

import io
import json
from typing import Any, Literal

import cv2
import numpy as np
from numpy.random import Generator
from PIL import Image as Pillow

from tests.bench.photos import light, scene
from tests.bench.photos.more_layouts import LAYOUTS
from tests.bench.photos.packs import Design, design
from tests.bench.photos.panels import DATA
from tests.bench.photos.press import Box, Image, Press, Sheet
from tests.bench.photos.shot import Shot, truth_of
from tests.bench.photos.surface import STEP, Map, Pose, framed, rotation

TIERS: dict[str, dict[str, Any]] = {
    name: tier
    for name, tier in json.loads((DATA / "tiers.json").read_text(encoding="utf-8")).items()
    if name != "about"
}
SIZES = ((3000, 4000), (3024, 4032), (2448, 3264), (2592, 3456), (2736, 3648))
MOST_ART = 26e6
"""The most pixels of artwork for one photograph, some 80 MB."""
_EXIF_ORIENTATION = 0x0112
_STORE = {
    2: Pillow.Transpose.FLIP_LEFT_RIGHT,
    3: Pillow.Transpose.ROTATE_180,
    4: Pillow.Transpose.FLIP_TOP_BOTTOM,
    5: Pillow.Transpose.TRANSPOSE,
    6: Pillow.Transpose.ROTATE_90,
    7: Pillow.Transpose.TRANSVERSE,
    8: Pillow.Transpose.ROTATE_270,
}
"""How an upright picture is stored so that the EXIF tag makes it upright again."""


def photo(press: Press, seed: int, tier: str, layout: str) -> tuple[bytes, dict[str, Any]]:
    """Return a photograph as JPEG and its truth; raises KeyError for an unknown tier or layout."""
    rng = np.random.default_rng([seed, list(TIERS).index(tier), list(LAYOUTS).index(layout)])
    made = design(seed, layout, str(rng.choice(TIERS[tier]["bodies"])))
    jpeg, truth = take(press, rng, tier, made)
    return jpeg, {"seed": seed, "layout": layout, **truth}


def take(
    press: Press,
    rng: Generator,
    tier: str,
    made: Design,
    aim: tuple[float, float] | None = None,
    fill: float = 0,
) -> tuple[bytes, dict[str, Any]]:
    """Return the photograph of any pack; ``aim`` and ``fill`` replace the tier's own framing."""
    settings = TIERS[tier]
    sheet = press.lay_out(made.html)
    shot = _pose(rng, settings, sheet, made.body, aim, fill)
    picture, veil, lens = _expose(press, rng, settings, shot, made.body)
    turn = int(rng.integers(1, 4)) if rng.random() < settings["turned"] else 0
    truth = {
        "tier": tier,
        "body": made.body,
        "panel": made.panel,
        **truth_of(shot, picture, veil, lens, turn),
    }
    picture = np.ascontiguousarray(np.rot90(picture, turn)[..., ::-1])
    tag = int(rng.integers(1, 9)) if rng.random() < settings["tags"] else 0
    jpeg = _stored(picture, tag, int(rng.integers(settings["jpeg"][0], settings["jpeg"][1] + 1)))
    return jpeg, truth | {
        "size": [picture.shape[1], picture.shape[0]],
        "orientation": tag,
        "quarter_turns": turn,
    }


def _pose(
    rng: Generator,
    tier: dict[str, Any],
    sheet: Sheet,
    body: str,
    aim: tuple[float, float] | None,
    fill: float,
) -> Shot:
    """Return the pack as the camera of the tier sees it."""
    panel = sheet.panel or sheet.page
    middle = np.array([(panel[0] + panel[2]) / 2, (panel[1] + panel[3]) / 2])
    wide, high = panel[2] - panel[0], panel[3] - panel[1]
    width, height = SIZES[int(rng.integers(len(SIZES)))]
    if rng.random() < (0.75 if wide > 1.3 * high else 0.12):
        width, height = height, width
    tilt, way = rng.uniform(*tier["tilt"]), rng.uniform(0, 2 * np.pi)
    pitch, yaw = tilt * np.sin(way), tilt * np.cos(way)
    radius, axis = None, "v"
    if body in ("can", "bottle"):
        axis = "h" if body == "bottle" and rng.random() < 0.3 else "v"
        span = np.radians(rng.triangular(*tier["span"]))
        radius = float((wide if axis == "v" else high) / span)
        most = max(68 - np.degrees(span) / 2, 3)
        yaw, pitch = (np.clip(yaw, -most, most), pitch) if axis == "v" else (yaw, np.clip(pitch, -most, most))
    warp = None
    if body == "pouch" or (body == "face" and tier["crumple"][0] > 0 and rng.random() < 0.4):
        warp = light.crumpled(rng, rng.uniform(*tier["crumple"]), 1.6 * max(wide, high))
    focal = 0.74 * max(width, height) * rng.uniform(0.95, 1.5)
    turn = rotation(pitch, yaw, rng.uniform(*tier["roll"]))
    level: Literal["v", "h"] = "h" if axis == "h" else "v"
    pose = Pose(width, height, focal, turn, np.array([0, 0, 3 * focal / 8]), radius, level, warp)
    fill = fill or float(
        rng.triangular(tier["fill"][0], tier["fill"][0] * 0.6 + tier["fill"][1] * 0.4, tier["fill"][1])
    )
    relative = tuple(value - centre for value, centre in zip(panel, (*middle, *middle), strict=True))
    box = (relative[0], relative[1], relative[2], relative[3])
    pose = framed(pose, box, fill, aim or tuple(rng.uniform(-0.85, 0.85, 2)))
    return Shot(sheet, pose, middle, *pose.seen())


def _expose(
    press: Press, rng: Generator, tier: dict[str, Any], shot: Shot, body: str
) -> tuple[Image, Map, light.Lens]:
    """Return the picture before it is turned and stored, the veil of glare over it and the blur in it."""
    pose, sheet = shot.pose, shot.sheet
    size = (pose.width, pose.height)
    points = (shot.points + shot.middle).astype(np.float32)
    edge = np.minimum.reduce(
        [
            points[..., 0] - sheet.page[0],
            sheet.page[2] - points[..., 0],
            points[..., 1] - sheet.page[1],
            sheet.page[3] - points[..., 1],
            shot.inside,
        ]
    )
    seen = points[edge > -8]
    scale = shot.density() * 1.12
    part = _part(sheet.page, seen)
    scale = min(scale, float(np.sqrt(MOST_ART / ((part[2] - part[0]) * (part[3] - part[1])))))
    art = press.ink(part, scale)
    where = cv2.resize((points - np.array(part[:2], np.float32)) * np.float32(scale) - np.float32(0.5), size)
    across, down = cv2.split(where)
    picture = cv2.remap(art, across, down, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    cover = np.clip(cv2.resize(edge.astype(np.float32), size) * np.float32(scale) + np.float32(0.5), 0, 1)
    side = 0.8 * max(sheet.page[2] - sheet.page[0], sheet.page[3] - sheet.page[1])
    folded = body == "pouch" or (pose.warp is not None)
    relief = light.creases(rng, shot.points, side) if folded else None
    lamps, veil = (
        light.lit(rng, tier, pose, shot.points, relief),
        light.glare(rng, tier, pose, shot.points, relief),
    )
    out = picture.astype(np.uint8, copy=False)
    pack = cv2.resize(cover, lamps.shape[::-1], interpolation=cv2.INTER_AREA)
    # what lights or dazzles the pack misses what is far behind it
    lamps, veil = lamps * pack + np.float32(rng.uniform(0.6, 1.1)) * (1 - pack), veil * pack
    if float(cover.min()) < 1:
        behind = scene.backdrop(rng, *size, tier["behind"])
        if body == "face":
            page = tuple(np.array(sheet.page) - np.tile(shot.middle, 2))
            scene.sides(rng, behind, pose, page, np.median(art[::40, ::40].reshape(-1, 3), axis=0))
        out = _before(rng, out, behind, cover)
    out = light.coloured(rng, tier, out, lamps, veil)
    if rng.random() < tier["hand"]:
        out = _held(rng, out, pack, float(np.median(lamps[pack > 0.9])), shot)
    smallest = shot.smallest()
    lens = light.Lens(
        float(rng.uniform(*tier["blur"]) * smallest),
        float(rng.uniform(*tier["motion"]) * smallest),
        float(rng.uniform(0, np.pi)),
    )
    out = light.grained(
        rng, lens.blur(out), float(rng.uniform(*tier["noise"])), float(rng.uniform(*tier["sharpen"]))
    )
    return out, veil, lens


def _part(page: Box, seen: Map) -> Box:
    """Return the part of the page that shows, a little more, within the page."""
    low, high = seen.min(0) - 6, seen.max(0) + 6
    return (
        max(float(low[0]), page[0]),
        max(float(low[1]), page[1]),
        min(float(high[0]), page[2]),
        min(float(high[1]), page[3]),
    )


def _before(rng: Generator, picture: Image, behind: Image, cover: Map) -> Image:
    """Return the pack before a background that its own shadow darkens."""
    height, width = cover.shape
    small = cv2.resize(cover, (width // STEP, height // STEP), interpolation=cv2.INTER_AREA)
    shade = cv2.GaussianBlur(
        np.roll(small, rng.integers(-6, 9, 2), axis=(0, 1)), (0, 0), float(rng.uniform(4, 12))
    )
    dark = cv2.resize(1 - np.float32(rng.uniform(0.3, 0.7)) * shade, (width, height))
    out = np.empty_like(picture)
    for channel in range(3):
        ground = behind[..., channel] * dark
        out[..., channel] = (ground + (picture[..., channel] - ground) * cover).astype(np.uint8)
    return out


def _held(rng: Generator, picture: Image, cover: Map, light_: float, shot: Shot) -> Image:
    """Return the picture with a thumb or fingers at its edge, clear of the panel."""
    panel = shot.sheet.panel
    keep = shot.project(panel, 30) / STEP if panel else np.empty((0, 2))
    hand = scene.fingers(rng, cover, keep)
    if hand is None:
        return picture
    colour, hiding = hand
    size = (picture.shape[1], picture.shape[0])
    skin = cv2.resize(colour * np.float32(rng.uniform(0.65, 0.95) * light_**0.45), size)
    hide = cv2.resize(hiding, size)[..., None]
    return np.asarray(np.clip(picture * (1 - hide) + skin, 0, 255), np.uint8)


def _stored(picture: Image, tag: int, quality: int) -> bytes:
    """Return a red, green, blue picture as JPEG, stored as its EXIF orientation says; no EXIF for tag 0."""
    image = Pillow.fromarray(picture)
    if tag in _STORE:
        image = image.transpose(_STORE[tag])
    exif = Pillow.Exif()
    if tag:
        exif[_EXIF_ORIENTATION] = tag
    out = io.BytesIO()
    image.save(out, "JPEG", quality=quality, exif=exif)
    return out.getvalue()
