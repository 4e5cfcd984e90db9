"""Train for so many seconds; write the averaged weights, an ONNX file and a log."""
from __future__ import annotations

import argparse
import json
import os
import random
import time

import numpy as np
import torch
import torch.nn.functional as F
from torch.utils.data import DataLoader, IterableDataset, get_worker_info

import strips
from charset import CHARS
from degrade import degrade
from net import Net

ap = argparse.ArgumentParser()
ap.add_argument("--seconds", type=float, default=500)
ap.add_argument("--batch", type=int, default=768)
ap.add_argument("--lr", type=float, default=3e-3)
ap.add_argument("--resume", default="")
ap.add_argument("--out", default=os.environ.get("OUT", "/tmp"))
ap.add_argument("--workers", type=int, default=15)
ap.add_argument("--reuse", type=int, default=4)
ap.add_argument("--seed", type=int, default=1)
o = ap.parse_args()
HELD = ("TeX Gyre Heros Cn w75", "Cabin", "Nimbus Sans", "Karla", "Caladea", "Open Sans")


class Stream(IterableDataset):
    def __init__(self, seed, held):
        self.seed, self.held = seed, held

    def __iter__(self):
        info = get_worker_info()
        fams = strips.families()
        strips._families = {k: v for k, v in fams.items() if (k in HELD) == self.held}
        s = strips.Strips(self.seed * 1000 + (info.id if info else 0))
        while True:
            rows = sorted((s.sample() for _ in range(o.batch * 2)), key=lambda row: row[1])
            for part in (rows[:o.batch], rows[o.batch:]):
                width = max(row[1] for row in part)
                yield (torch.from_numpy(np.stack([row[0][:, :width] for row in part])), torch.tensor([row[1] for row in part]),
                       torch.tensor([c for row in part for c in row[2]]), torch.tensor([len(row[2]) for row in part]))


def loader(seed, held, workers):
    return iter(DataLoader(Stream(seed, held), batch_size=None, num_workers=workers, prefetch_factor=4, pin_memory=torch.cuda.is_available()))


def decode(logp, steps):
    best = logp.argmax(-1).cpu().numpy()
    out = []
    for row, n in zip(best, steps.tolist()):
        row = row[:n]
        keep = row[np.insert(row[1:] != row[:-1], 0, True)]
        out.append("".join(CHARS[i - 1] for i in keep if i))
    return out


@torch.no_grad()
def evaluate(net, sets):
    net.eval()
    good = total = wrong = chars = 0
    shown = []
    for x, w, text in sets:
        got = decode(net(x), w // 2)
        for g, t in zip(got, text):
            total += 1
            good += g == t
            if g != t and len(shown) < 14:
                shown.append((t, g))
    net.train()
    return good / total, shown


torch.backends.cudnn.benchmark = False
torch.set_float32_matmul_precision("high")
dev = "cuda" if torch.cuda.is_available() else "cpu"
net = Net(len(CHARS) + 1).to(dev)
print("params", sum(p.numel() for p in net.parameters()))
if o.resume:
    net.load_state_dict(torch.load(o.resume, map_location=dev))
ema = Net(len(CHARS) + 1).to(dev)
ema.load_state_dict(net.state_dict())
opt = torch.optim.AdamW(net.parameters(), lr=o.lr, weight_decay=.02, betas=(.9, .98))
data = loader(o.seed, False, o.workers)
held = []
torch.manual_seed(0)
hl = loader(99, True, 4)
for _ in range(4):
    im, w, t, n = (z.to(dev) for z in next(hl))
    x, ow = degrade(im, w, n)
    texts, at = [], 0
    for k in n.tolist():
        texts.append("".join(CHARS[i - 1] for i in t[at:at + k].tolist()))
        at += k
    held.append((x, ow, texts))
del hl
pool = []
start, step, seen = time.time(), 0, 0
log = []
while (used := time.time() - start) < o.seconds:
    frac = used / o.seconds
    lr = o.lr * min(1, (step + 1) / 300) * (.5 * (1 + np.cos(np.pi * min(1, frac)))) + 1e-5
    for g in opt.param_groups:
        g["lr"] = lr
    if step % o.reuse == 0 or len(pool) < 8:
        pool.append(tuple(z.to(dev, non_blocking=True) for z in next(data)))
        if len(pool) > 64:
            pool.pop(0)
        im, w, t, n = pool[-1]
    else:
        im, w, t, n = random.choice(pool)
    with torch.no_grad():
        x, ow = degrade(im, w, n)
    with torch.autocast(dev, torch.bfloat16, enabled=dev == "cuda"):
        logp = net(x)
    steps = (ow // 2).clamp(max=logp.shape[1])
    loss = F.ctc_loss(logp.float().transpose(0, 1), t, steps, n, blank=0, zero_infinity=True)
    opt.zero_grad(set_to_none=True)
    loss.backward()
    torch.nn.utils.clip_grad_norm_(net.parameters(), 2.0)
    opt.step()
    step += 1
    seen += len(n)
    d = min(.9995, step / (step + 50))
    with torch.no_grad():
        for a, b in zip(ema.state_dict().values(), net.state_dict().values()):
            if a.dtype.is_floating_point:
                a.lerp_(b, 1 - d)
            else:
                a.copy_(b)
    if step % 1000 == 0 or step in (20, 100):
        acc, shown = evaluate(ema, held)
        line = f"step {step} seen {seen} t {used:.0f} loss {loss.item():.4f} lr {lr:.5f} held lines exact {acc:.4f}"
        print(line, flush=True)
        log.append(line)
        torch.save(ema.state_dict(), f"{o.out}/net.pt")
acc, shown = evaluate(ema, held)
print("final", step, seen, acc)
for a in shown:
    print(a)
torch.save(ema.state_dict(), f"{o.out}/net.pt")
ema.eval().cpu()
torch.onnx.export(ema, (torch.zeros(1, 1, 32, 320),), f"{o.out}/net.onnx", input_names=["strip"], output_names=["logp"],
                  dynamic_axes={"strip": {0: "n", 3: "w"}, "logp": {0: "n", 1: "t"}}, opset_version=17, dynamo=False)
json.dump({"chars": CHARS, "log": log, "final": acc, "seen": seen}, open(f"{o.out}/train.json", "w"))
