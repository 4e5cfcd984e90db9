"""What a camera does to a strip of print, on the GPU, a batch at a time."""

from __future__ import annotations

import math

import torch
from torch import Tensor
from torch.nn import functional as F

HIGH = 32
_GROUPS = 6


class _Dice:
    """Draws one number for each of ``count`` strips, shaped to go with strips (n x 1 x 1)."""

    def __init__(self, count: int, device: torch.device) -> None:
        self.count, self.device = count, device

    def between(self, low: float, high: float) -> Tensor:
        return (torch.rand(self.count, device=self.device) * (high - low) + low).view(-1, 1, 1)

    def chance(self, share: float) -> Tensor:
        """Return 1 for this share of the strips, else 0."""
        return (torch.rand(self.count, device=self.device) < share).float().view(-1, 1, 1)

    def either(self, share: float, one: tuple[float, float], other: tuple[float, float]) -> Tensor:
        """Return a number of the first range for this share of the strips, else one of the other."""
        return torch.where(self.chance(share) > 0, self.between(*one), self.between(*other))


def degrade(images: Tensor, widths: Tensor, lengths: Tensor) -> tuple[Tensor, Tensor]:
    """Return strips (n x 1 x 32 x w, mean 0 and spread 1) and their widths from strips of ink (bytes).

    ``widths`` are the pixels used of each strip, ``lengths`` its letters: each keeps room for two steps.
    """
    dice = _Dice(len(images), images.device)
    ink = images.float().div_(255).unsqueeze(1)
    wide = widths.float() * HIGH / images.shape[1]
    squeeze = dice.either(0.5, (0.85, 1.15), (0.5, 1.35)).flatten()
    squeeze = torch.maximum(squeeze, (lengths.float() * 1.25 + 3) * 2 / wide)
    out_wide = (wide * squeeze).round().clamp(min=8)
    grid = _grid(dice, widths, out_wide, images.shape[1:])
    if torch.rand(1).item() < 0.8:  # soften before shrinking, as a lens does
        ink = F.avg_pool2d(F.pad(ink, (1, 1, 1, 1), mode="replicate"), 3, 1)
    x = F.grid_sample(ink, grid, mode="bilinear", padding_mode="zeros", align_corners=False)
    weight = dice.either(0.6, (1.0, 1.0), (0.55, 1.7))  # thin or heavy ink
    x = x.clamp(0, 1).pow(weight.unsqueeze(1))
    return _finished(dice, _coarse(_blurred(dice, x)), out_wide), out_wide.long()


def _grid(dice: _Dice, widths: Tensor, out_wide: Tensor, size: torch.Size) -> Tensor:
    """Return where each pixel of the new strips lies on the old: bent round a can, tilted, arched, aslant."""
    count, dev = dice.count, dice.device
    wide = math.ceil(out_wide.max().item() / 64) * 64
    t = torch.arange(wide, device=dev).float().view(1, 1, wide) / out_wide.view(count, 1, 1)
    v = ((torch.arange(HIGH, device=dev).float() + 0.5) / HIGH).view(1, HIGH, 1).expand(count, HIGH, wide)
    # On a can, equal steps on the picture are unequal steps along the print.
    first = dice.between(-1.05, 0.9)
    last = (first + dice.between(0.1, 1.2)).clamp(max=1.1)
    low, high = torch.sin(first), torch.sin(last)
    bent = torch.asin((low + (high - low) * t.clamp(0, 1)).clamp(-0.999, 0.999)) - first
    bent = bent / (last - first)
    use = dice.chance(0.35)
    along = torch.where(t <= 1, bent * use + t * (1 - use), t)
    long = (out_wide / 160).clamp(max=1.6).view(count, 1, 1)
    tilt = dice.between(-0.13, 0.13) * dice.chance(0.6) * long
    arc = dice.between(-0.2, 0.2) * dice.chance(0.4) * long
    wave = dice.between(0, 0.03) * dice.chance(0.3)
    phase, turns = dice.between(0, 6.3), dice.between(2, 9)
    aslant = dice.between(-0.34, 0.34) * dice.chance(0.5)
    shear = dice.either(0.5, (0.0, 0.0), (-0.3, 0.3)) + dice.between(-0.35, 0.35) * dice.chance(0.2)
    larger = dice.between(0.88, 1.16)
    shift = dice.between(-0.06, 0.06)
    tc = t.clamp(-0.1, 1.1) - 0.5
    y = 0.5 + (v - 0.5) * (1 + aslant * tc) / larger + tilt * tc + arc * (tc * tc * 4 - 0.5)
    y = y + wave * torch.sin(turns * t + phase) + shift
    x = (along * widths.view(count, 1, 1).float() + shear * (v - 0.5) * size[0]).expand(count, HIGH, wide)
    return torch.stack([(x + 0.5) / size[1] * 2 - 1, y * 2 - 1], -1)


def _blurred(dice: _Dice, x: Tensor) -> Tensor:
    """Blur by the lens or by the hand: a kernel of its own for each strip."""
    sigma = dice.between(0.2, 1.0) + dice.between(0, 1.0) * dice.chance(0.25)
    reach = torch.arange(-4, 5, device=dice.device).float()
    down, across = torch.meshgrid(reach, reach, indexing="ij")
    lens = torch.exp(-(across**2 + down**2) / (2 * sigma**2))
    angle, length = dice.between(0, math.pi), dice.between(0, 4.2) * dice.chance(0.25)
    along = across * torch.cos(angle) + down * torch.sin(angle)
    aside = down * torch.cos(angle) - across * torch.sin(angle)
    beyond = (along.abs() - length / 2).clamp(min=0)
    hand = torch.exp(-(beyond**2 + aside**2) / (2 * (sigma * 0.8 + 0.2) ** 2))
    kernel = torch.where(length > 0.5, hand, lens)
    kernel = kernel / kernel.sum((1, 2), keepdim=True)
    padded = F.pad(x, (4, 4, 4, 4)).transpose(0, 1)
    return F.conv2d(padded, kernel.unsqueeze(1), groups=dice.count).transpose(0, 1)


def _coarse(x: Tensor) -> Tensor:
    """Leave few pixels: shrink and enlarge again, in groups."""
    return torch.cat([_shrunk(part) for part in x.chunk(_GROUPS)])


def _shrunk(part: Tensor) -> Tensor:
    share = 1.0 if torch.rand(1).item() < 0.45 else torch.empty(1).uniform_(0.34, 0.95).item()
    if share >= 0.99:
        return part
    high, wide = part.shape[2:]
    size = (max(8, int(high * share)), max(8, int(wide * share)))
    small = F.interpolate(part, size=size, mode="bilinear", antialias=True)
    if torch.rand(1).item() < 0.5:
        small = small + torch.randn_like(small) * torch.empty(1).uniform_(0, 0.07).item()
    how = "bicubic" if torch.rand(1).item() < 0.5 else "bilinear"
    return F.interpolate(small, size=(high, wide), mode=how)


def _finished(dice: _Dice, x: Tensor, out_wide: Tensor) -> Tensor:
    """Add paper, light, gloss and noise, at times white print on black; then mean 0 and spread 1."""
    count, _, high, wide = x.shape
    dev = dice.device

    def smooth(cells: int) -> Tensor:
        low = torch.rand(count, 1, 2, cells, device=dev)
        return F.interpolate(low, size=(high, wide), mode="bicubic", align_corners=True)

    def each(values: Tensor) -> Tensor:
        return values.view(count, 1, 1, 1)

    ground = dice.between(0.35, 1.0)
    contrast = dice.either(0.7, (0.55, 0.97), (0.25, 0.6))
    slope = (smooth(5) - 0.5) * each(dice.between(0, 0.5) * dice.chance(0.5))
    y = each(ground) * (1 + slope) * (1 - each(contrast) * x)
    gloss = smooth(7).clamp(min=0.55) - 0.55
    y = (y + gloss * each(dice.between(0, 1.6) * dice.chance(0.12))).clamp(0, 1.05)
    grain = dice.between(0, 0.015) + dice.between(0, 0.07) * dice.chance(0.25)
    grain = grain + dice.between(0.05, 0.2) * dice.chance(0.05)
    y = y + torch.randn_like(y) * each(grain)
    y = (y.clamp(0, 1) * 255).round() / 255
    y = torch.where(each(dice.chance(0.1)) > 0, 1 - y, y)
    used = (torch.arange(wide, device=dev).view(1, 1, 1, wide) < out_wide.view(count, 1, 1, 1)).float()
    pixels = used.sum((1, 2, 3)) * high
    mean = each((y * used).sum((1, 2, 3)) / pixels)
    spread = each((((y - mean) * used) ** 2).sum((1, 2, 3)).div(pixels).sqrt() + 1e-3)
    return (y - mean) / spread * used
