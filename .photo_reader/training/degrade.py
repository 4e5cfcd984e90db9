"""What a camera does to a strip of print, on the GPU, a batch at a time."""
from __future__ import annotations

import math

import torch
import torch.nn.functional as F

OUT_H = 32


def rand(n, lo, hi, dev):
    return torch.rand(n, device=dev) * (hi - lo) + lo


def maybe(n, p, dev):
    return (torch.rand(n, device=dev) < p).float()


def degrade(images: torch.Tensor, widths: torch.Tensor, lengths: torch.Tensor, strength: float = 1.0):
    """Return (n x 1 x 32 x w float standardised, widths in px) from ink strips n x 64 x W uint8."""
    dev, n = images.device, images.shape[0]
    ink = images.float().div_(255).unsqueeze(1)
    h_in, w_in = images.shape[1:]
    k = OUT_H / h_in
    squeeze = torch.where(torch.rand(n, device=dev) < .5, rand(n, .85, 1.15, dev), rand(n, .5, 1.35, dev))
    need = (lengths.float() * 1.25 + 3) * 2 / (widths.float() * k)
    squeeze = torch.maximum(squeeze, need)
    out_w = (widths.float() * k * squeeze).round().clamp(min=8)
    wide = int(math.ceil(out_w.max().item() / 64) * 64)
    t = torch.arange(wide, device=dev).float().view(1, 1, wide) / out_w.view(n, 1, 1)
    v = ((torch.arange(OUT_H, device=dev).float() + .5) / OUT_H).view(1, OUT_H, 1).expand(n, OUT_H, wide)
    # cylinder: equal steps on the screen are unequal steps along the print
    a0 = rand(n, -1.05, .9, dev)
    a1 = torch.minimum(a0 + rand(n, .1, 1.2, dev), torch.full_like(a0, 1.1))
    s0, s1 = torch.sin(a0).view(n, 1, 1), torch.sin(a1).view(n, 1, 1)
    bent = (torch.asin((s0 + (s1 - s0) * t.clamp(0, 1)).clamp(-.999, .999)) - a0.view(n, 1, 1)) / (a1 - a0).view(n, 1, 1)
    use = maybe(n, .35, dev).view(n, 1, 1)
    along = torch.where(t <= 1, bent * use + t * (1 - use), t)
    long = (out_w / 160).clamp(max=1.6).view(n, 1, 1)
    tilt = (rand(n, -.13, .13, dev) * maybe(n, .6, dev)).view(n, 1, 1) * long
    arc = (rand(n, -.2, .2, dev) * maybe(n, .4, dev)).view(n, 1, 1) * long
    wob = (rand(n, 0, .03, dev) * maybe(n, .3, dev)).view(n, 1, 1)
    ph, fr = rand(n, 0, 6.3, dev).view(n, 1, 1), rand(n, 2, 9, dev).view(n, 1, 1)
    persp = (rand(n, -.28, .28, dev) * maybe(n, .5, dev)).view(n, 1, 1)
    shear = (rand(n, -.25, .25, dev) * maybe(n, .5, dev)).view(n, 1, 1)
    size = rand(n, .88, 1.16, dev).view(n, 1, 1)
    shift = rand(n, -.06, .06, dev).view(n, 1, 1)
    tc = (t.clamp(-.1, 1.1) - .5)
    vs = .5 + (v - .5) * (1 + persp * tc) / size * 1.0 + tilt * tc + arc * (tc * tc * 4 - .5) + wob * torch.sin(fr * t + ph) + shift
    xs = along * widths.view(n, 1, 1).float() + shear * (v - .5) * h_in
    xs = xs.expand(n, OUT_H, wide)
    grid = torch.stack([(xs + .5) / w_in * 2 - 1, vs * 2 - 1], -1)
    # soften before shrinking, as a lens does
    soft = F.avg_pool2d(F.pad(ink, (1, 1, 1, 1), mode="replicate"), 3, 1)
    ink = soft if torch.rand(1).item() < .8 else ink
    x = F.grid_sample(ink, grid, mode="bilinear", padding_mode="zeros", align_corners=False)
    # thin or heavy ink
    gamma = torch.where(torch.rand(n, device=dev) < .6, torch.ones(n, device=dev), rand(n, .55, 1.7, dev)).view(n, 1, 1, 1)
    x = x.clamp(0, 1).pow(gamma)
    x = blur(x, strength)
    x = coarse(x, strength)
    return finish(x, out_w, strength), out_w.long()


def blur(x, strength):
    """Defocus and motion: a kernel of its own for each strip."""
    n, dev = x.shape[0], x.device
    sigma = rand(n, .2, 1.0, dev) + rand(n, 0, 1.0, dev) * maybe(n, .25 * strength, dev)
    r = torch.arange(-4, 5, device=dev).float()
    yy, xx = torch.meshgrid(r, r, indexing="ij")
    g = torch.exp(-(xx ** 2 + yy ** 2).unsqueeze(0) / (2 * sigma.view(n, 1, 1) ** 2))
    ang, length = rand(n, 0, math.pi, dev), rand(n, 0, 4.2, dev) * maybe(n, .25 * strength, dev)
    along = xx * torch.cos(ang).view(n, 1, 1) + yy * torch.sin(ang).view(n, 1, 1)
    across = -xx * torch.sin(ang).view(n, 1, 1) + yy * torch.cos(ang).view(n, 1, 1)
    l2 = (length / 2).view(n, 1, 1)
    m = torch.exp(-((along.abs() - l2).clamp(min=0) ** 2 + across ** 2) / (2 * (sigma.view(n, 1, 1) * .8 + .2) ** 2))
    kern = torch.where(length.view(n, 1, 1) > .5, m, g)
    kern = kern / kern.sum((1, 2), keepdim=True)
    return F.conv2d(F.pad(x, (4, 4, 4, 4)).transpose(0, 1), kern.unsqueeze(1), groups=n).transpose(0, 1)


def coarse(x, strength):
    """Few pixels: shrink and enlarge again, in groups."""
    out = []
    for part in x.chunk(6):
        f = 1.0 if torch.rand(1).item() < .45 else torch.empty(1).uniform_(.34 if strength >= 1 else .5, .95).item()
        if f < .99:
            h, w = part.shape[2:]
            small = F.interpolate(part, size=(max(8, int(h * f)), max(8, int(w * f))), mode="bilinear", antialias=True)
            if torch.rand(1).item() < .5:
                small = small + torch.randn_like(small) * torch.empty(1).uniform_(0, .07).item()
            part = F.interpolate(small, size=(h, w), mode="bicubic" if torch.rand(1).item() < .5 else "bilinear")
        out.append(part)
    return torch.cat(out)


def smooth(n, h, w, dev, cells=5):
    low = torch.rand(n, 1, 2, cells, device=dev)
    return F.interpolate(low, size=(h, w), mode="bicubic", align_corners=True)


def finish(x, out_w, strength):
    """Paper, light, glare, noise, polarity; then zero mean and unit spread."""
    n, _, h, w = x.shape
    dev = x.device
    v = lambda t: t.view(n, 1, 1, 1)  # noqa: E731
    bg = rand(n, .35, 1.0, dev)
    contrast = torch.where(torch.rand(n, device=dev) < .7, rand(n, .55, .97, dev), rand(n, .25, .6, dev))
    paper = v(bg) * (1 + (smooth(n, h, w, dev) - .5) * v(rand(n, 0, .5, dev) * maybe(n, .5, dev)))
    y = paper * (1 - v(contrast) * x)
    glare = smooth(n, h, w, dev, 7).clamp(min=.55) - .55
    y = y + glare * v(rand(n, 0, 1.6, dev) * maybe(n, .12 * strength, dev))
    y = y.clamp(0, 1.05)
    y = y + torch.randn_like(y) * v(rand(n, 0, .015, dev) + rand(n, 0, .07, dev) * maybe(n, .25, dev))
    y = (y.clamp(0, 1) * 255).round() / 255
    y = torch.where(v(maybe(n, .1, dev)) > 0, 1 - y, y)
    mask = (torch.arange(w, device=dev).view(1, 1, 1, w) < out_w.view(n, 1, 1, 1)).float()
    count = mask.sum((1, 2, 3)) * h
    mean = (y * mask).sum((1, 2, 3)) / count
    std = (((y - v(mean)) * mask) ** 2).sum((1, 2, 3)).div(count).sqrt() + 1e-3
    return (y - v(mean)) / v(std) * mask
