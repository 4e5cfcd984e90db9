"""The recogniser: depthwise convolutions over a 32 px high strip, CTC over half as many steps as pixels."""

from __future__ import annotations

from torch import Tensor, nn


class Sep(nn.Module):
    """A convolution in two parts, each channel by itself and then all of each place."""

    def __init__(self, cin: int, cout: int, stride: tuple[int, int] = (1, 1)) -> None:
        super().__init__()
        self.body = nn.Sequential(
            nn.Conv2d(cin, cin, 3, stride, 1, groups=cin, bias=False),
            nn.BatchNorm2d(cin),
            nn.ReLU(),
            nn.Conv2d(cin, cout, 1, bias=False),
            nn.BatchNorm2d(cout),
            nn.ReLU(),
        )
        self.same = cin == cout and stride == (1, 1)

    def forward(self, x: Tensor) -> Tensor:
        """Return n x ``cout`` x h x w, the strides taken."""
        y: Tensor = self.body(x)
        return x + y if self.same else y


class Mix(nn.Module):
    """Looks along the line: ``wide`` steps, ``apart`` from each other, then across the channels."""

    def __init__(self, channels: int, wide: int, apart: int) -> None:
        super().__init__()
        self.body = nn.Sequential(
            nn.Conv1d(
                channels,
                channels,
                wide,
                padding=apart * (wide // 2),
                dilation=apart,
                groups=channels,
                bias=False,
            ),
            nn.BatchNorm1d(channels),
            nn.Conv1d(channels, 2 * channels, 1, bias=False),
            nn.BatchNorm1d(2 * channels),
            nn.ReLU(),
            nn.Conv1d(2 * channels, channels, 1, bias=False),
            nn.BatchNorm1d(channels),
        )

    def forward(self, x: Tensor) -> Tensor:
        """Return what came in, added to."""
        y: Tensor = self.body(x)
        return x + y


class Strips(nn.Module):
    """In: n x 1 x 32 x w, each strip with mean 0 and spread 1. Out: n x w/2 x ``classes``, 0 for none."""

    def __init__(self, classes: int) -> None:
        super().__init__()
        self.look = nn.Sequential(
            nn.Conv2d(1, 32, 3, 2, 1, bias=False),
            nn.BatchNorm2d(32),
            nn.ReLU(),
            Sep(32, 64),
            Sep(64, 64),
            Sep(64, 96, (2, 1)),
            Sep(96, 96),
            Sep(96, 96),
            Sep(96, 128, (2, 1)),
            Sep(128, 128),
            Sep(128, 128),
        )
        self.fold = nn.Sequential(nn.Conv2d(128, 192, (4, 1), bias=False), nn.BatchNorm2d(192), nn.ReLU())
        self.mix = nn.Sequential(*(Mix(192, 7, apart) for apart in (1, 1, 2, 1, 2, 1)))
        self.head = nn.Conv1d(192, classes, 1)

    def forward(self, x: Tensor) -> Tensor:
        """Return the log probabilities of each step."""
        steps: Tensor = self.head(self.mix(self.fold(self.look(x)).squeeze(2)))
        return steps.transpose(1, 2).log_softmax(-1)
