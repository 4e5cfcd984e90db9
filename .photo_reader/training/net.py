"""The recogniser: depthwise convolutions over a 32 px high strip, CTC over half as many steps as pixels."""
from __future__ import annotations

import torch
from torch import nn


class Sep(nn.Module):
    def __init__(self, a: int, b: int, stride=(1, 1)) -> None:
        super().__init__()
        self.body = nn.Sequential(nn.Conv2d(a, a, 3, stride, 1, groups=a, bias=False), nn.BatchNorm2d(a), nn.ReLU(),
                                  nn.Conv2d(a, b, 1, bias=False), nn.BatchNorm2d(b), nn.ReLU())
        self.same = a == b and tuple(stride) == (1, 1)

    def forward(self, x):
        return x + self.body(x) if self.same else self.body(x)


class Mix(nn.Module):
    def __init__(self, c: int, k: int, d: int) -> None:
        super().__init__()
        self.body = nn.Sequential(nn.Conv1d(c, c, k, padding=d * (k // 2), dilation=d, groups=c, bias=False), nn.BatchNorm1d(c),
                                  nn.Conv1d(c, 2 * c, 1, bias=False), nn.BatchNorm1d(2 * c), nn.ReLU(), nn.Conv1d(2 * c, c, 1, bias=False), nn.BatchNorm1d(c))

    def forward(self, x):
        return x + self.body(x)


class Net(nn.Module):
    def __init__(self, classes: int) -> None:
        super().__init__()
        self.look = nn.Sequential(nn.Conv2d(1, 32, 3, 2, 1, bias=False), nn.BatchNorm2d(32), nn.ReLU(),
                                  Sep(32, 64), Sep(64, 64), Sep(64, 96, (2, 1)), Sep(96, 96), Sep(96, 96), Sep(96, 128, (2, 1)), Sep(128, 128), Sep(128, 128))
        self.fold = nn.Sequential(nn.Conv2d(128, 192, (4, 1), bias=False), nn.BatchNorm2d(192), nn.ReLU())
        self.mix = nn.Sequential(*(Mix(192, 7, d) for d in (1, 1, 2, 1, 2, 1)))
        self.head = nn.Conv1d(192, classes, 1)

    def forward(self, x):
        """n x 1 x 32 x w -> n x w/2 x classes, log probabilities."""
        x = self.fold(self.look(x)).squeeze(2)
        return self.head(self.mix(x)).transpose(1, 2).log_softmax(-1)
