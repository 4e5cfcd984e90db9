"""Train the finder for so many seconds; write averaged weights, an ONNX file and a log."""

from __future__ import annotations

import argparse
import os
import time
from collections.abc import Iterator
from pathlib import Path

import common
import numpy as np
import torch
from find_net import Find
from scenes import Scenes
from torch import Tensor, nn
from torch.nn import functional as F
from torch.utils.data import DataLoader, IterableDataset, get_worker_info

Batch = tuple[Tensor, Tensor, Tensor]
"""Patches (n x h x w, bytes), answers (n x 7 x h/4 x w/4) and weights (n x 2 x h/4 x w/4)."""
_POOL = 300
_WARM = 0.04
"""The share of the time in which the rate of learning rises."""


class Stream(IterableDataset[Batch]):
    """Batches without end, each of several pages."""

    def __init__(self, seed: int, batch: int) -> None:
        self.seed, self.batch = seed, batch

    def __iter__(self) -> Iterator[Batch]:
        """Yield batches, others in each process."""
        torch.set_num_threads(1)
        info = get_worker_info()
        scenes = iter(Scenes(self.seed * 100 + (info.id if info else 0)))
        pool = [next(scenes) for _ in range(self.batch)]
        rng = np.random.default_rng(self.seed)
        while True:
            rows = []
            for _ in range(self.batch):
                number = rng.integers(len(pool))
                rows.append(pool[number])
                pool[number] = next(scenes)
            images, targets, weights = (
                torch.from_numpy(np.stack([row[part] for row in rows])) for part in range(3)
            )
            yield images, targets, weights


def loss_of(y: Tensor, target: Tensor, weight: Tensor) -> tuple[Tensor, Tensor]:
    """Return the loss and its parts: dice of text, panel, direction, heights."""
    y = y.float()
    text, counts, measured = target[:, :1], weight[:, :1], weight[:, 1:2]
    cross = F.binary_cross_entropy_with_logits
    more = torch.tensor(2.0, device=y.device)
    each = cross(y[:, :1], text, reduction="none", pos_weight=more)
    said = torch.sigmoid(y[:, :1]) * counts
    dice = 1 - (2 * (said * text).sum() + 1) / ((said * said).sum() + (text * text * counts).sum() + 1)
    panel = cross(y[:, 1:2], target[:, 1:2])
    band = (cross(y[:, 6:7], target[:, 6:7], reduction="none") * counts).mean()
    cells = measured.sum() + 1
    turn = ((y[:, 2:4] - target[:, 2:4]).abs() * measured).sum() / cells
    tall = ((y[:, 4:6] - target[:, 4:6]).abs() * measured).sum() / cells
    loss = (each * counts).mean() * 2 + dice + 0.5 * panel + 0.5 * band + turn + 1.5 * tall
    return loss, torch.stack([dice, panel, turn, tall]).detach()


def again(batch: Batch, quarters: int) -> tuple[Tensor, Tensor, Tensor]:
    """Return a kept batch seen anew: turned by quarters, lit otherwise, with fresh noise."""
    images, target, weight = batch
    x = (images.float() - 128) / 64
    if quarters:
        x, target, weight = (torch.rot90(part, quarters, (-2, -1)) for part in (x, target, weight))
        cos, sin = target[:, 2].clone(), target[:, 3].clone()
        cos, sin = {1: (sin, -cos), 2: (-cos, -sin), 3: (-sin, cos)}[quarters]
        target = torch.cat([target[:, :2], cos[:, None], sin[:, None], target[:, 4:]], 1)

    def drawn(low: float, high: float) -> Tensor:
        return torch.empty(len(x), 1, 1, device=x.device).uniform_(low, high)

    x = x * drawn(0.75, 1.2) + drawn(-0.4, 0.4)
    x = x + torch.randn_like(x) * drawn(0, 0.12)
    return x.clamp(-2, 2), target, weight


def write(average: nn.Module, path: Path) -> None:
    """Write the network as the package runs it."""
    axes = {"gray": {2: "h", 3: "w"}, "map": {2: "h4", 3: "w4"}}
    common.export(average, path, torch.zeros(1, 1, 320, 320), axes)


def train(o: argparse.Namespace) -> None:
    """Train as the options say."""
    dev = common.device()
    net = common.load(Find(), o.resume).to(dev).to(memory_format=torch.channels_last)
    average = common.averaged(net)
    learn = torch.optim.AdamW(net.parameters(), lr=o.lr, weight_decay=1e-4)
    ahead = 3 if o.workers else None
    stream = Stream(o.seed, o.batch)
    data = iter(
        DataLoader(
            stream,
            batch_size=None,
            num_workers=o.workers,
            prefetch_factor=ahead,
            pin_memory=dev == "cuda",
        )
    )
    pool: list[Batch] = []
    rng = np.random.default_rng(0)
    pool.append(tuple(part.to(dev) for part in next(data)))
    start, step = time.time(), 0
    usual = torch.zeros(4, device=dev)
    with (o.out / "find_log.txt").open("a", encoding="utf-8") as log:
        while (gone := (time.time() - start) / o.seconds) < 1:
            share = gone / _WARM if gone < _WARM else 0.5 * (1 + np.cos(np.pi * (gone - _WARM) / (1 - _WARM)))
            for group in learn.param_groups:
                group["lr"] = o.lr * share + 1e-6
            if step % o.reuse == 0 or len(pool) < 4:
                pool = [*pool, tuple(part.to(dev, non_blocking=True) for part in next(data))][-_POOL:]
                batch = pool[-1]
            else:
                batch = pool[int(rng.integers(len(pool)))]
            x, target, weight = again(batch, int(rng.integers(4)))
            x = x[:, None].contiguous(memory_format=torch.channels_last)
            with torch.autocast(dev, torch.bfloat16, enabled=dev == "cuda"):
                y = net(x)
            loss, parts = loss_of(y, target.float(), weight.float())
            learn.zero_grad(set_to_none=True)
            loss.backward()
            nn.utils.clip_grad_norm_(net.parameters(), 5)
            learn.step()
            step += 1
            usual = parts if step < 50 else usual * 0.98 + parts * 0.02
            common.follow(average, net, min(0.998, step / (step + 20)))
            if step % 200 == 0:
                said = zip(("dice", "panel", "turn", "tall"), usual.tolist(), strict=True)
                shown = " ".join(f"{name} {value:.3f}" for name, value in said)
                line = f"{time.time() - start:.0f}s step {step} loss {float(loss):.3f} {shown}"
                print(line, flush=True)
                log.write(line + "\n")
                log.flush()
    common.save(average, o.out / "find.pt")
    write(average, o.out / "find.onnx")


if __name__ == "__main__":
    train(common.options(__doc__, seconds=500, batch=48, reuse=5))
    os._exit(0)  # the processes that draw would never end
