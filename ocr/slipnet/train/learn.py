"""Learns the network of package slipnet from slips on standard input.

    train -fonts ... | python3 learn.py --slips 40000 --out weights.bin

Needs PyTorch (Debian: python3-torch, python3-numpy). The slips come from the
program in this folder, which says how they are laid out. The weights are kept as
half precision numbers, layer by layer in the order of `layers` below, which is
that of net.go.
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

W, H, ALPHABET = 16, 28, 96
C1, C2, C3, D, HEADS = 16, 40, 64, 160, 4


class Net(nn.Module):
    def __init__(self):
        super().__init__()
        self.conv = nn.ModuleList(
            [nn.Conv2d(a, b, 3, padding=1) for a, b in ((1, C1), (C1, C2), (C2, C3))])
        for c in self.conv:
            nn.init.kaiming_normal_(c.weight)
            nn.init.zeros_(c.bias)
        self.dense = nn.Linear(C3 * 3 * 2, D)
        self.alone = nn.Linear(D, ALPHABET)  # helps learning, not kept
        self.near = nn.ModuleList([nn.Conv1d(D, D, 3, padding=1) for _ in range(2)])
        self.near_norm = nn.ModuleList([nn.LayerNorm(D) for _ in range(2)])
        self.ask = nn.Linear(D, 3 * D)
        self.tell = nn.Linear(D, D)
        self.ask_norm = nn.LayerNorm(D)
        self.last_norm = nn.LayerNorm(D)
        self.out = nn.Linear(D, ALPHABET)

    def forward(self, x):  # slips, lines, H, cells*W
        b, l, _, w = x.shape
        n = w // W
        x = x.reshape(b * l, 1, H, w)
        for conv in self.conv:
            x = F.relu(F.max_pool2d(conv(x), 2))
        # channels, 3 rows, 2 columns of a cell
        x = x.reshape(b * l, C3, 3, n, 2).permute(0, 3, 1, 2, 4).reshape(b * l, n, C3 * 6)
        x = F.relu(self.dense(x))
        alone = self.alone(x)
        x = x + self.beside(0, x)
        x = x.reshape(b, l * n, D)
        x = x + self.alike(x)
        x = x.reshape(b * l, n, D)
        x = x + self.beside(1, x)
        return self.out(self.last_norm(x)).reshape(b, l, n, ALPHABET), alone.reshape(b, l, n, ALPHABET)

    def beside(self, i, x):
        """What the neighbours on the line say."""
        return F.relu(self.near[i](self.near_norm[i](x).transpose(1, 2))).transpose(1, 2)

    def alike(self, x):
        """What other cells of the slip say, those most alike most."""
        b, m, _ = x.shape
        q, k, v = self.ask(self.ask_norm(x)).reshape(b, m, 3, HEADS, D // HEADS).permute(2, 0, 3, 1, 4)
        weight = torch.softmax(q @ k.transpose(-1, -2) / math.sqrt(D // HEADS), -1)
        return self.tell((weight @ v).transpose(1, 2).reshape(b, m, D))


def layers(net):
    for conv in net.conv:
        yield conv.weight
        yield conv.bias
    yield net.dense.weight
    yield net.dense.bias
    for i in range(2):
        yield net.near_norm[i].weight
        yield net.near_norm[i].bias
        # out, place, in: a row of three cells at once
        yield net.near[i].weight.permute(0, 2, 1)
        yield net.near[i].bias
    for part in (net.ask_norm, net.ask, net.tell, net.last_norm, net.out):
        yield part.weight
        yield part.bias


def save(net, file):
    with open(file, "wb") as f:
        for layer in layers(net):
            f.write(layer.detach().contiguous().numpy().astype("<f2").tobytes())


def check(net, x, y, file):
    """Keeps a few cells with what the network makes of them, for a test of the
    reading side: lines, cells a line (two bytes each), the picture one byte a
    pixel, and for each cell the printed character, the likeliest one (one byte
    each) and its probability (four bytes)."""
    lines, cells = 3, 14
    x, y = x[:1, :lines, :, :cells * W], y[:1, :lines, :cells]
    with torch.no_grad():
        p = torch.softmax(net(x)[0], -1)[0]
    top, best = p.max(-1)
    with open(file, "wb") as f:
        f.write(struct.pack("<HH", lines, cells))
        f.write((x[0] * (255 / 1.15)).round().numpy().astype(np.uint8).tobytes())
        for printed, b, t in zip(y.reshape(-1).tolist(), best.reshape(-1).tolist(), top.reshape(-1).tolist()):
            f.write(struct.pack("<BBf", printed, b, t))


def groups(stream):
    while True:
        head = stream.read(6)
        if len(head) < 6:
            return
        b, l, n = struct.unpack("<HHH", head)
        labels, pictures = [], []
        for _ in range(b):
            labels.append(np.frombuffer(stream.read(l * n), np.uint8))
            pictures.append(np.frombuffer(stream.read(l * n * W * H), np.uint8))
        x = torch.from_numpy(np.stack(pictures).astype(np.float32)) * (1.15 / 255)
        y = torch.from_numpy(np.stack(labels).astype(np.int64))
        yield x.reshape(b, l, H, n * W), y.reshape(b, l, n)


def main():
    p = argparse.ArgumentParser()
    p.add_argument("--slips", type=int, required=True)
    p.add_argument("--out", required=True)
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--rate", type=float, default=1.5e-3)
    p.add_argument("--threads", type=int, default=2)
    p.add_argument("--check", help="file for a few cells and what the network makes of them")
    p.add_argument("--start", help="state to go on from")
    p.add_argument("--keep", type=float, default=0, help="share of the state gone on from that stays in the weights in the end")
    p.add_argument("--state", help="file for the state to go on from")
    a = p.parse_args()
    torch.manual_seed(a.seed)
    torch.set_num_threads(a.threads)
    torch.set_flush_denormal(True)
    net = Net()
    if a.start:
        net.load_state_dict(torch.load(a.start))
    opt = torch.optim.AdamW(net.parameters(), lr=a.rate, weight_decay=0.01)
    steps, start = a.slips // 4, time.time()
    loss_sum = right = seen = right_print = seen_print = 0
    for step, (x, y) in enumerate(groups(sys.stdin.buffer)):
        warm = min(1, (step + 1) / 200)
        for g in opt.param_groups:
            g["lr"] = a.rate * warm * 0.5 * (1 + math.cos(math.pi * min(step / steps, 1)))
        out, alone = net(x)
        flat = y.reshape(-1)
        loss = F.cross_entropy(out.reshape(-1, ALPHABET), flat) + 0.3 * F.cross_entropy(alone.reshape(-1, ALPHABET), flat)
        opt.zero_grad()
        loss.backward()
        nn.utils.clip_grad_norm_(net.parameters(), 2.0)
        opt.step()
        best = out.reshape(-1, ALPHABET).argmax(-1)
        loss_sum += loss.item() * len(flat)
        hit = best == flat
        printed = flat > 0
        right, seen = right + hit.sum().item(), seen + len(flat)
        right_print, seen_print = right_print + hit[printed].sum().item(), seen_print + printed.sum().item()
        if step % 100 == 99:
            print(f"{step + 1:6d} of {steps}  loss {loss_sum / seen:.4f}  right {right / seen:.4f}"
                  f"  of print {right_print / seen_print:.4f}  {time.time() - start:.0f} s", flush=True)
            loss_sum = right = seen = right_print = seen_print = 0
            if a.state:
                torch.save(net.state_dict(), a.state)
            save(net, a.out)
    if a.start and a.keep:
        # The mean of two states of one run reads what either reads, and errs less.
        old, new = torch.load(a.start), net.state_dict()
        net.load_state_dict({k: a.keep * old[k] + (1 - a.keep) * new[k] for k in new})
        if a.state:
            torch.save(net.state_dict(), a.state)
    save(net, a.out)
    if a.check:
        check(net, x, y, a.check)


if __name__ == "__main__":
    main()
