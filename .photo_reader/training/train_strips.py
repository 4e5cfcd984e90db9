"""Train the recogniser for so many seconds; write averaged weights, an ONNX file and a log."""

from __future__ import annotations

import argparse
import os
import random
import time
from collections.abc import Iterator
from pathlib import Path

import common
import numpy as np
import torch
from charset import CHARS
from degrade import degrade
from fonts import HELD, families
from strips import Strips as Lines
from strips_net import Strips
from torch import Tensor, nn
from torch.nn import functional as F
from torch.utils.data import DataLoader, IterableDataset, get_worker_info

Batch = tuple[Tensor, Tensor, Tensor, Tensor]
"""Strips, their widths, the letters of all in one row, and how many of them each has."""
Judged = tuple[Tensor, Tensor, list[str]]
"""Degraded strips of held-out families, their widths, and what they say."""
_POOL, _HELD_BATCHES, _SHOWN = 64, 4, 14


class Stream(IterableDataset[Batch]):
    """Batches without end, strips of like width together, in the held-out families or in the others."""

    def __init__(self, seed: int, batch: int, *, held: bool) -> None:
        self.seed, self.batch, self.held = seed, batch, held

    def __iter__(self) -> Iterator[Batch]:
        """Yield batches, others in each process."""
        info = get_worker_info()
        among = {name: faces for name, faces in families().items() if (name in HELD) == self.held}
        lines = Lines(self.seed * 1000 + (info.id if info else 0), among)
        while True:
            rows = sorted((lines.sample() for _ in range(self.batch * 2)), key=lambda row: row[1])
            for part in (rows[: self.batch], rows[self.batch :]):
                width = max(row[1] for row in part)
                yield (
                    torch.from_numpy(np.stack([row[0][:, :width] for row in part])),
                    torch.tensor([row[1] for row in part]),
                    torch.tensor([letter for row in part for letter in row[2]]),
                    torch.tensor([len(row[2]) for row in part]),
                )


def batches(stream: Stream, workers: int) -> Iterator[Batch]:
    """Return the batches, drawn by other processes."""
    ahead = 4 if workers else None
    return iter(
        DataLoader(
            stream,
            batch_size=None,
            num_workers=workers,
            prefetch_factor=ahead,
            pin_memory=torch.cuda.is_available(),
        )
    )


def decode(logp: Tensor, steps: Tensor) -> list[str]:
    """Return the likeliest letters of each strip."""
    out = []
    for row, count in zip(logp.argmax(-1).cpu().numpy(), steps.tolist(), strict=True):
        used = row[:count]
        first = used[np.insert(used[1:] != used[:-1], 0, values=True)]
        out.append("".join(CHARS[letter - 1] for letter in first if letter))
    return out


@torch.no_grad()
def judge(net: nn.Module, judged: list[Judged]) -> tuple[float, list[tuple[str, str]]]:
    """Return the share of lines read exactly, and some that were not, each with what was read."""
    net.eval()
    pairs = [pair for x, wide, text in judged for pair in zip(text, decode(net(x), wide // 2), strict=True)]
    wrong = [pair for pair in pairs if pair[0] != pair[1]]
    return 1 - len(wrong) / len(pairs), wrong[:_SHOWN]


def held_out(batch: int, workers: int, dev: str) -> list[Judged]:
    """Return degraded strips in the families that are never learned from."""
    torch.manual_seed(0)
    stream, out = batches(Stream(99, batch, held=True), workers), []
    for _ in range(_HELD_BATCHES):
        images, wide, letters, counts = (part.to(dev) for part in next(stream))
        x, out_wide = degrade(images, wide, counts)
        parts = torch.split(letters.cpu(), counts.tolist())
        out.append((x, out_wide, ["".join(CHARS[number - 1] for number in part.tolist()) for part in parts]))
    return out


def write(average: nn.Module, path: Path) -> None:
    """Write the network as the package runs it."""
    axes = {"strip": {0: "n", 3: "w"}, "logp": {0: "n", 1: "t"}}
    common.export(average, path, torch.zeros(1, 1, 32, 320), axes)


def train(o: argparse.Namespace) -> None:
    """Train as the options say."""
    torch.set_float32_matmul_precision("high")
    dev = common.device()
    net = common.load(Strips(len(CHARS) + 1), o.resume).to(dev)
    average = common.averaged(net)
    learn = torch.optim.AdamW(net.parameters(), lr=o.lr, weight_decay=0.02, betas=(0.9, 0.98))
    data = batches(Stream(o.seed, o.batch, held=False), o.workers)
    judged = held_out(o.batch, min(4, o.workers), dev)
    pool: list[tuple[Tensor, ...]] = []
    start, step, seen = time.time(), 0, 0
    with (o.out / "strips_log.txt").open("a", encoding="utf-8") as log:

        def say(line: str) -> None:
            print(line, flush=True)
            log.write(line + "\n")
            log.flush()

        say(f"params {sum(p.numel() for p in net.parameters())}")
        while (used := time.time() - start) < o.seconds:
            rate = o.lr * min(1, (step + 1) / 300) * 0.5 * (1 + np.cos(np.pi * used / o.seconds)) + 1e-5
            for group in learn.param_groups:
                group["lr"] = rate
            if step % o.reuse == 0 or len(pool) < 8:
                pool = [*pool, tuple(part.to(dev, non_blocking=True) for part in next(data))][-_POOL:]
                images, wide, letters, counts = pool[-1]
            else:
                images, wide, letters, counts = random.choice(pool)
            with torch.no_grad():
                x, out_wide = degrade(images, wide, counts)
            with torch.autocast(dev, torch.bfloat16, enabled=dev == "cuda"):
                logp = net(x)
            steps = (out_wide // 2).clamp(max=logp.shape[1])
            loss = F.ctc_loss(logp.float().transpose(0, 1), letters, steps, counts, zero_infinity=True)
            learn.zero_grad(set_to_none=True)
            loss.backward()
            nn.utils.clip_grad_norm_(net.parameters(), 2.0)
            learn.step()
            step += 1
            seen += len(counts)
            common.follow(average, net, min(0.9995, step / (step + 50)))
            if step % 1000 == 0 or step in {20, 100}:
                exact, _ = judge(average, judged)
                state = f"loss {loss.item():.4f} lr {rate:.5f} held lines exact {exact:.4f}"
                say(f"step {step} seen {seen} t {used:.0f} {state}")
                common.save(average, o.out / "strips.pt")
        exact, wrong = judge(average, judged)
        say("\n".join([f"final {step} {seen} {exact:.4f}", *map(str, wrong)]))
    common.save(average, o.out / "strips.pt")
    write(average, o.out / "strips.onnx")


if __name__ == "__main__":
    train(common.options(__doc__, seconds=1000, batch=768, reuse=4))
    os._exit(0)  # the processes that draw would never end
