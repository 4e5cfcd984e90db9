"""The finder: for every fourth pixel whether a line of text runs there, which way, and how high it is."""

from __future__ import annotations

from torch import Tensor, nn
from torch.nn import functional as F

_WIDTHS = (16, 32, 56, 96, 128)
_JOINED = 44
ANSWERS = 7


class Step(nn.Module):
    """A convolution in two parts, each channel by itself and then all of each place."""

    def __init__(self, cin: int, cout: int, stride: int = 1, size: int = 3) -> None:
        super().__init__()
        self.same = stride == 1 and cin == cout
        self.body = nn.Sequential(
            nn.Conv2d(cin, cin, size, stride, size // 2, groups=cin, bias=False),
            nn.BatchNorm2d(cin),
            nn.Conv2d(cin, cout, 1, bias=False),
            nn.BatchNorm2d(cout),
            nn.ReLU(),
        )

    def forward(self, x: Tensor) -> Tensor:
        """Return n x ``cout`` x h x w, the stride taken."""
        y: Tensor = self.body(x)
        return x + y if self.same else y


class Find(nn.Module):
    """In: n x 1 x h x w, gray from -2 to 2. Out: n x 7 x h/4 x w/4.

    The answers are the logit of text, the logit of panel, cosine and sine of the reading direction,
    log2(1 + pixels) up to the top and down to the foot of the letters, and the logit of the whole height of a
    line, which is a help in training alone.
    """

    def __init__(self) -> None:
        super().__init__()
        c, d = _WIDTHS, _JOINED
        self.stem = nn.Sequential(nn.Conv2d(1, c[0], 3, 2, 1, bias=False), nn.BatchNorm2d(c[0]), nn.ReLU())
        self.s4 = nn.Sequential(Step(c[0], c[1], 2), Step(c[1], c[1]))
        self.s8 = nn.Sequential(Step(c[1], c[2], 2), Step(c[2], c[2]), Step(c[2], c[2]))
        self.s16 = nn.Sequential(Step(c[2], c[3], 2), *[Step(c[3], c[3], 1, 5) for _ in range(4)])
        self.s32 = nn.Sequential(Step(c[3], c[4], 2), *[Step(c[4], c[4], 1, 5) for _ in range(4)])
        self.side = nn.ModuleList(nn.Conv2d(width, d, 1) for width in c[1:])
        self.up16, self.up8, self.up4 = Step(d, d), Step(d, d), Step(d, d)
        self.head = nn.Conv2d(d, ANSWERS, 1)

    def forward(self, x: Tensor) -> Tensor:
        """Return the answers; the sides of ``x`` are multiples of 32."""
        fourth = self.s4(self.stem(x))
        eighth = self.s8(fourth)
        sixteenth = self.s16(eighth)
        y = self.up16(self.side[2](sixteenth) + _doubled(self.side[3](self.s32(sixteenth))))
        y = self.up8(self.side[1](eighth) + _doubled(y))
        y = self.up4(self.side[0](fourth) + _doubled(y))
        answers: Tensor = self.head(y)
        return answers


def _doubled(x: Tensor) -> Tensor:
    return F.interpolate(x, scale_factor=2, mode="nearest")
