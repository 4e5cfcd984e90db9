"""What both trainings share: their options, the averaged network, and the file that the package runs."""

from __future__ import annotations

import argparse
import copy
from pathlib import Path

import torch
from charset import HERE
from torch import Tensor, nn

CHECKPOINTS = HERE.parent / "models"


def options(about: str | None, seconds: float, batch: int, reuse: int) -> argparse.Namespace:
    """Return the options of the command line, with these defaults."""
    parser = argparse.ArgumentParser(description=about)
    parser.add_argument("--seconds", type=float, default=seconds, help="how long to train")
    parser.add_argument("--batch", type=int, default=batch)
    parser.add_argument("--lr", type=float, default=3e-3, help="the highest rate of learning")
    parser.add_argument("--resume", type=Path, help="a checkpoint to go on from")
    parser.add_argument("--out", type=Path, default=Path(), help="folder for checkpoint, ONNX file and log")
    parser.add_argument("--workers", type=int, default=15, help="processes that draw; 0 draws in this one")
    parser.add_argument("--reuse", type=int, default=reuse, help="steps for each new batch that is drawn")
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    chosen.out.mkdir(parents=True, exist_ok=True)
    return chosen


def device() -> str:
    """Return the GPU where there is one, else the processor, on which training takes days."""
    return "cuda" if torch.cuda.is_available() else "cpu"


def load(net: nn.Module, checkpoint: Path | None) -> nn.Module:
    """Return the network with the weights of a checkpoint, if one is given."""
    if checkpoint:
        net.load_state_dict(torch.load(checkpoint, map_location="cpu", weights_only=True))
    return net


def averaged(net: nn.Module) -> nn.Module:
    """Return a copy of the network that is to follow it."""
    return copy.deepcopy(net).eval()


@torch.no_grad()
def follow(average: nn.Module, net: nn.Module, keep: float) -> None:
    """Move the averaged network towards the one that learns; ``keep`` is what stays of the old."""
    for own, new in zip(average.state_dict().values(), net.state_dict().values(), strict=True):
        if own.dtype.is_floating_point:
            own.lerp_(new, 1 - keep)
        else:
            own.copy_(new)


def save(average: nn.Module, path: Path) -> None:
    """Write the weights."""
    torch.save({name: value.float().cpu() for name, value in average.state_dict().items()}, path)


def export(average: nn.Module, path: Path, shown: Tensor, axes: dict[str, dict[int, str]]) -> None:
    """Write the network as ONNX; the names of ``axes`` are those of its input and its output."""
    first, last = axes
    net = average.cpu().float().to(memory_format=torch.contiguous_format).eval()
    torch.onnx.export(
        net,
        (shown,),
        str(path),
        input_names=[first],
        output_names=[last],
        dynamic_axes=axes,
        opset_version=17,
        dynamo=False,
    )
