"""Clean strips of print: a line drawn in a real font, with what stands near it on a panel."""
from __future__ import annotations

import json
import os
import random

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from charset import CHARS
from corpus import FRACTION, Corpus

HERE = os.path.dirname(os.path.abspath(__file__))
H, W = 64, 1024
GLYPHS = {v: k for k, v in FRACTION.items()}
INDEX = {c: i + 1 for i, c in enumerate(CHARS)}
_fonts: dict = {}
_families = None


def families() -> dict:
    global _families
    if _families is None:
        _families = json.load(open(f"{HERE}/fonts.json"))
        have = set(os.listdir(f"{HERE}/fonts"))
        _families = {k: {a: f for a, f in v.items() if f in have} for k, v in _families.items()}
        _families = {k: v for k, v in _families.items() if ("regular" in v or "semi" in v)}
    return _families


def font(name: str, size: int):
    key = (name, size)
    if key not in _fonts:
        f = ImageFont.truetype(f"{HERE}/fonts/{name}", size)
        cover = {c for c in CHARS if c == " " or f.getmask(c).getbbox()}
        _fonts[key] = (f, cover)
        if len(_fonts) > 1500:
            _fonts.pop(next(iter(_fonts)))
    return _fonts[key]


SANS = None


def pick_family(r: random.Random) -> str:
    names = list(families())
    common = [n for n in names if any(w in n for w in ("Liberation Sans", "Arimo", "Nimbus Sans", "Heros", "FreeSans", "Roboto", "Open Sans", "Inter", "Switzera", "Noto Sans", "DejaVu Sans", "Carlito", "Gillius", "Lato"))]
    return r.choice(common) if r.random() < .65 else r.choice(names)


class Strips:
    """Draws strips: (uint8 H x W gray, ink width, target indices)."""

    def __init__(self, seed: int) -> None:
        self.r = random.Random(seed)
        self.corpus = Corpus(seed + 1)

    def draw_line(self, runs, size: int, family: dict, scale: float, tracking: float, fraction_style: str):
        r = self.r
        faces = {"r": family.get("regular") or family.get("semi"), "b": family.get("black" if r.random() < .35 and "black" in family else "bold") or family.get("semi") or family.get("regular"), "i": family.get("regular_italic") or family.get("regular") or family.get("semi")}
        items, text = [], ""
        for chunk, face in runs:
            for c in chunk:
                f, cover = font(faces[face], size)
                if c in GLYPHS and (fraction_style == "raised" or c not in cover):
                    items.append((c, face, "raised"))
                elif c not in cover:
                    continue
                else:
                    items.append((c, face, ""))
                text += c
        text = " ".join(text.split())
        if not text:
            return None
        canvas = Image.new("L", (size * (len(items) + 4), int(size * 2.2)), 0)
        d = ImageDraw.Draw(canvas)
        x, base = size, int(size * 1.45)
        run, run_face = "", None
        start = x

        def flush():
            nonlocal x, run
            if not run:
                return
            f, _ = font(faces[run_face], size)
            if tracking == 0:
                d.text((x, base), run, fill=255, font=f, anchor="ls")
                x += f.getlength(run)
            else:
                for ch in run:
                    d.text((x, base), ch, fill=255, font=f, anchor="ls")
                    x += f.getlength(ch) + tracking * size
            run = ""
        for c, face, how in items:
            if how == "raised":
                flush()
                small, _ = font(faces[face], max(8, int(size * r.uniform(.52, .64))))
                top, bottom = GLYPHS[c].split("/")
                big, _ = font(faces[face], size)
                d.text((x, base - size * r.uniform(.26, .34)), top, fill=255, font=small, anchor="ls")
                x += small.getlength(top)
                d.text((x - size * .06, base), "/", fill=255, font=big, anchor="ls")
                x += big.getlength("/") - size * .1
                d.text((x, base + size * r.uniform(0, .05)), bottom, fill=255, font=small, anchor="ls")
                x += small.getlength(bottom)
            else:
                if face != run_face:
                    flush()
                    run_face = face
                run += c
        flush()
        box = canvas.crop((0, 0, int(x) + size, canvas.height)).getbbox()
        if not box:
            return None
        left, right = box[0], box[2]
        ink = canvas.crop((left, 0, right, canvas.height))
        if scale != 1:
            ink = ink.resize((max(4, int(ink.width * scale)), ink.height), Image.BILINEAR)
        return ink, base, box, text

    def sample(self):
        r = self.r
        while True:
            fam = families()[pick_family(r)]
            size = r.choice([30, 34, 38, 42])
            scale = r.choice([1, 1, 1, r.uniform(.6, 1.0), r.uniform(.45, .8), r.uniform(1, 1.2)])
            tracking = 0 if r.random() < .75 else r.uniform(-.03, .08)
            fs = r.choice(["glyph", "raised"])
            try:
                got = self.draw_line(self.corpus.line(), size, fam, scale, tracking, fs)
            except (OSError, ValueError):
                continue
            if got is None:
                continue
            ink, base, box, text = got
            target = [INDEX[c] for c in text]
            if len(target) > 46:
                continue
            # the strip a detector would cut: ink height with a margin, sometimes tight, sometimes loose
            top, bottom = box[1], box[3]
            xh = size * .52
            cap_top, low = base - size * .74, base + size * .22
            t = min(top, cap_top) if r.random() < .7 else top
            b = max(bottom, low) if r.random() < .7 else bottom
            margin = size * r.uniform(-.02, .3)
            t, b = t - margin * r.uniform(.4, 1.2), b + margin * r.uniform(.4, 1.2)
            height = max(8.0, b - t)
            k = H * .72 / height  # room above and below for warps
            w = int(ink.width * k)
            side = int(H * r.uniform(.02, .35))
            if w + 2 * side > W - 8 or w < 4:
                continue
            canvas = Image.new("L", (w + 2 * side, H), 0)
            scaled = ink.resize((w, max(8, int(ink.height * k))), Image.BILINEAR)
            y0 = int(H * .14 - t * k)
            canvas.paste(scaled, (side, y0), scaled)
            self.surround(canvas, base * k + y0, size * k)
            arr = np.zeros((H, W), np.uint8)
            a = np.asarray(canvas)
            arr[:, :a.shape[1]] = a
            return arr, a.shape[1], target

    def surround(self, canvas: Image.Image, base: float, size: float) -> None:
        """Draw what stands near: hairlines, bars, the feet and heads of other lines."""
        r, d = self.r, ImageDraw.Draw(canvas)
        wide = canvas.width
        for below in (True, False):
            if r.random() < .38:
                y = base + size * r.uniform(.27, .6) if below else base - size * r.uniform(.84, 1.2)
                thick = r.choice([1, 1, 1.5, 2, 3, 6, 10])
                a, b = (0, wide) if r.random() < .7 else sorted((r.uniform(-20, wide), r.uniform(0, wide + 20)))
                slope = r.uniform(-2, 2) if r.random() < .4 else 0
                d.line((a, y + slope, b, y - slope), fill=r.randint(150, 255), width=max(1, int(thick)))
            if r.random() < .22:
                other = self.draw_line(self.corpus.line(), 28, families()[pick_family(r)], 1, 0, "glyph")
                if other:
                    k = size / 28
                    ink = other[0].resize((max(4, int(other[0].width * k)), max(4, int(other[0].height * k))))
                    ink = ink.crop((0, 0, min(ink.width, wide), ink.height))
                    gap = size * r.uniform(1.02, 1.3)
                    y = base + gap - other[1] * k if below else base - gap - other[1] * k
                    canvas.paste(ink, (int(r.uniform(-.2, .6) * wide), int(y)), ink)
        if r.random() < .06:
            x = r.choice([r.uniform(0, 4), wide - r.uniform(1, 5)])
            d.line((x, 0, x, H), fill=255, width=r.choice([1, 2, 3]))


def batches(seed: int, size: int):
    """Yield (images uint8 n x H x W, widths, targets concatenated, lengths) without end."""
    s = Strips(seed)
    while True:
        rows = [s.sample() for _ in range(size)]
        width = max(row[1] for row in rows)
        images = np.stack([row[0][:, :width] for row in rows])
        yield images, np.array([row[1] for row in rows]), np.concatenate([row[2] for row in rows]).astype(np.int32), np.array([len(row[2]) for row in rows])


if __name__ == "__main__":
    import time
    t = time.time()
    s = Strips(5)
    rows = [s.sample() for _ in range(300)]
    print("ms each", (time.time() - t) / 300 * 1e3)
    t = time.time()
    rows = [s.sample() for _ in range(300)]
    print("ms each", (time.time() - t) / 300 * 1e3, "mean width", np.mean([row[1] for row in rows]))
    sheet = np.concatenate([255 - row[0] for row in rows[:24]])
    Image.fromarray(sheet).save("/tmp/strips.png")
    print(["".join(CHARS[i - 1] for i in row[2]) for row in rows[:24]])
