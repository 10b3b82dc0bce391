"""Learns the network of package stance from lines on standard input.

    train -natural -fonts ... | python3 learn_stance.py --slips 12000 --out weights.bin

Every line is shown as it is and turned by half a turn; the network says at each
place how likely print there stands on its feet. Needs PyTorch (Debian:
python3-torch, python3-numpy). Weights are kept as half precision numbers, layer
by layer in the order of `layers`, which is that of stance.go.
"""
import argparse
import math
import struct
import sys
import time

import numpy as np
import torch
from torch import nn
from torch.nn import functional as F

H, C1, C2, C3, D = 28, 8, 16, 24, 48


class Net(nn.Module):
    def __init__(self):
        super().__init__()
        self.conv = nn.ModuleList(
            [nn.Conv2d(a, b, 3, padding=1) for a, b in ((1, C1), (C1, C2), (C2, C3))])
        for c in self.conv:
            nn.init.kaiming_normal_(c.weight)
            nn.init.zeros_(c.bias)
        self.near = nn.Conv1d(C3 * 3, D, 3, padding=1)
        self.out = nn.Conv1d(D, 1, 1)

    def forward(self, x):  # lines, H, width
        x = x.unsqueeze(1)
        for conv in self.conv:
            x = F.relu(F.max_pool2d(conv(x), 2))
        b, c, h, w = x.shape
        x = F.relu(self.near(x.reshape(b, c * h, w)))
        return self.out(x)[:, 0]


def layers(net):
    for conv in net.conv:
        yield conv.weight
        yield conv.bias
    # out, place, in: three places at once
    yield net.near.weight.permute(0, 2, 1)
    yield net.near.bias
    yield net.out.weight
    yield net.out.bias


def save(net, file):
    with open(file, "wb") as f:
        for layer in layers(net):
            f.write(layer.detach().contiguous().numpy().astype("<f2").tobytes())


def check(net, x, file):
    """Keeps a line with what the network says of it, for a test of the reading
    side: pixels across and places (two bytes each), the picture one byte a pixel,
    then one number of four bytes a place."""
    x = x[:1, :, :200]
    with torch.no_grad():
        y = net(x)[0]
    with open(file, "wb") as f:
        f.write(struct.pack("<HH", x.shape[2], y.shape[0]))
        f.write((x[0] * (255 / 1.15)).round().numpy().astype(np.uint8).tobytes())
        f.write(y.numpy().astype("<f4").tobytes())


def slips(stream):
    while True:
        head = stream.read(4)
        if len(head) < 4:
            return
        n, w = struct.unpack("<HH", head)
        pix = np.frombuffer(stream.read(n * H * w), np.uint8).reshape(n, H, w)
        yield torch.from_numpy(pix.astype(np.float32)) * (1.15 / 255)


def inked(x):
    """Where print is, for each place of the answer."""
    m = F.max_pool2d(x.unsqueeze(1), (H, 8))[:, 0, 0]
    return (m > 0.4).float()


def main():
    p = argparse.ArgumentParser()
    p.add_argument("--slips", type=int, required=True)
    p.add_argument("--out", required=True)
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--rate", type=float, default=3e-3)
    p.add_argument("--threads", type=int, default=2)
    p.add_argument("--check")
    a = p.parse_args()
    torch.manual_seed(a.seed)
    torch.set_num_threads(a.threads)
    torch.set_flush_denormal(True)
    net = Net()
    opt = torch.optim.AdamW(net.parameters(), lr=a.rate, weight_decay=0.01)
    steps, start = a.slips // 4, time.time()
    loss_sum = seen = wrong = lines = 0.0
    for i, x in enumerate(slips(sys.stdin.buffer)):
        step = i // 4
        for g in opt.param_groups:
            g["lr"] = a.rate * min(1, (step + 1) / 100) * 0.5 * (1 + math.cos(math.pi * min(step / steps, 1)))
        m = inked(x)
        both = torch.cat([x, torch.rot90(x, 2, (1, 2))])
        y = net(both)
        n = len(x)
        # A place is pooled from the left, so the turned line's places lie a
        # little differently: each has its own.
        mt = inked(both[n:])
        loss = (F.softplus(-y[:n]) * m).sum() / m.sum().clamp(min=1) + (F.softplus(y[n:]) * mt).sum() / mt.sum().clamp(min=1)
        (loss / 4).backward()
        says = (y[:n] * m).sum(1) - (y[n:] * mt).sum(1)
        wrong, lines = wrong + (says <= 0).sum().item(), lines + n
        loss_sum, seen = loss_sum + loss.item() / 2, seen + 1
        if i % 4 == 3:
            nn.utils.clip_grad_norm_(net.parameters(), 2.0)
            opt.step()
            opt.zero_grad()
        if i % 400 == 399:
            print(f"{step + 1:6d} of {steps}  loss {loss_sum / seen:.4f}  lines wrong {wrong / lines:.5f}  {time.time() - start:.0f} s", flush=True)
            loss_sum = seen = wrong = lines = 0.0
            save(net, a.out)
    save(net, a.out)
    if a.check:
        check(net, x, a.check)


if __name__ == "__main__":
    main()
