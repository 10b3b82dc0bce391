"""Learns a network of package papernet from pictures of draw.py or of sheets.py.

    python3 learn.py --pictures a.npz b.npz --goes 5 --out weights.bin --check check.bin

Needs PyTorch (Debian: python3-torch, python3-numpy). The weights are kept as half
precision numbers in the order in which the layers are used, which is that of
papernet.go. Of each shape of picture 120 are held back; how well paper is found on
those is printed as it goes (an eighth, where there are fewer than 960). With --state what was learned is kept to go on from
(--start).
"""
import argparse
import struct
import time

import numpy as np
import torch
from torch import nn
from torch.nn import functional as F


def block(a, b, size=3, stride=1, spread=1):
    return nn.Sequential(nn.Conv2d(a, b, size, stride, (size // 2) * spread, spread, bias=False), nn.BatchNorm2d(b), nn.ReLU())


class Net(nn.Module):
    C = (16, 32, 48, 64)

    def __init__(self):
        super().__init__()
        a, b, c, d = self.C
        self.stem = block(3, a, 5, 2)
        self.e1 = block(a, a)
        self.d2, self.e2 = block(a, b, 3, 2), block(b, b)
        self.d3, self.e3 = block(b, c, 3, 2), block(c, c)
        self.d4, self.e4 = block(c, d, 3, 2), block(d, d)
        self.g4, self.h4 = block(d, d, 3, 1, 2), block(d, d, 3, 1, 4)
        self.u3 = block(d + c, c)
        self.u2 = block(c + b, b)
        self.u1 = block(b + a, a)
        self.head = nn.Conv2d(a, 4, 3, 1, 1)

    def layers(self):
        return [self.stem, self.e1, self.d2, self.e2, self.d3, self.e3, self.d4, self.e4, self.g4, self.h4, self.u3, self.u2, self.u1]

    def forward(self, x):
        x1 = self.e1(self.stem(x))
        x2 = self.e2(self.d2(x1))
        x3 = self.e3(self.d3(x2))
        x4 = self.e4(self.d4(x3))
        x4 = self.h4(self.g4(x4)) + x4
        up = lambda x: F.interpolate(x, scale_factor=2, mode="nearest")
        y = self.u3(torch.cat([up(x4), x3], 1))
        y = self.u2(torch.cat([up(y), x2], 1))
        y = self.u1(torch.cat([up(y), x1], 1))
        return F.pixel_shuffle(self.head(y), 2)


def even(x):
    """Brightness of each picture to mean 0 and spread 1; colour as differences, as JPEG has it."""
    r, g, b = x[:, 0], x[:, 1], x[:, 2]
    y = 0.299 * r + 0.587 * g + 0.114 * b
    cb, cr = (b - y) * 0.564, (r - y) * 0.713
    m, s = y.mean((1, 2), keepdim=True), y.std((1, 2), keepdim=True)
    return torch.stack([(y - m) / (s + 2), cb / 32, cr / 32], 1)


def keep(net, out, check=None):
    """Keeps the weights as half precision numbers, spread and mean of each layer worked in."""
    net.eval()
    parts = []
    for l in net.layers():
        conv, bn = l[0], l[1]
        f = bn.weight / torch.sqrt(bn.running_var + bn.eps)
        parts += [conv.weight * f[:, None, None, None], bn.bias - bn.running_mean * f]
    parts += [net.head.weight, net.head.bias]
    with open(out, "wb") as o:
        for p in parts:
            p = p.detach()
            if p.dim() == 4:
                p = p.permute(2, 3, 1, 0)  # by place, in and out
            o.write(p.contiguous().numpy().astype("<f2").tobytes())
    if check:  # a picture and what the network says of it, for the test
        path, x = check
        with torch.no_grad():
            y = torch.sigmoid(net(even(x)))[0, 0].numpy()
        with open(path, "wb") as o:
            o.write(struct.pack("<HH", x.shape[3], x.shape[2]))
            o.write(x[0].permute(1, 2, 0).contiguous().numpy().astype(np.uint8).tobytes())
            o.write((y * 255 + 0.5).astype(np.uint8).tobytes())


def main():
    p = argparse.ArgumentParser()
    p.add_argument("--pictures", nargs="+")
    p.add_argument("--goes", type=float, default=5)
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--batch", type=int, default=16)
    p.add_argument("--start")
    p.add_argument("--state")
    p.add_argument("--check")
    p.add_argument("--rate", type=float, default=3e-3)
    p.add_argument("--out", required=True)
    a = p.parse_args()
    torch.manual_seed(a.seed)
    torch.set_num_threads(2)
    rng = np.random.default_rng(a.seed)
    groups = {}
    for f in a.pictures:
        z = np.load(f)
        for k in z.files:
            x = z[k]
            if x.shape[0] > x.shape[1]:
                x = np.ascontiguousarray(x.transpose(1, 0, 2))  # mirrored: slips lie as often
            groups.setdefault(x.shape[:2], []).append(x)
    groups = {k: np.stack(v) for k, v in groups.items()}
    held = min(120, min(len(v) for v in groups.values()) // 8)
    hold = {k: v[:held] for k, v in groups.items()}
    groups = {k: v[held:] for k, v in groups.items()}
    total = sum(len(v) for v in groups.values())
    B = a.batch
    steps = int(total * a.goes / B)
    net = Net()
    if a.start:
        net.load_state_dict(torch.load(a.start))
    opt = torch.optim.AdamW(net.parameters(), lr=a.rate, weight_decay=1e-3)
    sched = torch.optim.lr_scheduler.OneCycleLR(opt, a.rate, steps, pct_start=0.1)
    keys, share = list(groups), np.array([len(v) for v in groups.values()]) / total

    def batch(g, idx, aug=True):
        x = g[idx].astype(np.float32)
        if g.dtype == np.uint16:  # of sheets.py: four times as fine
            x[..., :3] /= 4
        if aug:
            if rng.random() < 0.5: x = x[:, ::-1]
            if rng.random() < 0.5: x = x[:, :, ::-1]
            if rng.random() < 0.5: x = x.transpose(0, 2, 1, 3)
            if rng.random() < 0.3: x[..., :3] = x[..., :3].mean(3, keepdims=True)
            if rng.random() < 0.3: x[..., :3] = x[..., rng.permutation(3)]
        x = torch.from_numpy(np.ascontiguousarray(x.transpose(0, 3, 1, 2)))
        if aug and g.dtype == np.uint16 and rng.random() < 0.5:  # made small and smaller by other steps
            soft = F.avg_pool2d(F.pad(x[:, :3], (1, 1, 1, 1), mode="replicate"), 3, 1)
            x = torch.cat([x[:, :3] + (soft - x[:, :3]) * float(rng.uniform(0, 0.7)), x[:, 3:]], 1)
        # to a multiple of 16
        h, w = x.shape[2:]
        x = F.pad(x, (0, -w % 16, 0, -h % 16), mode="replicate")
        return even(x[:, :3]), x[:, 3:] / 255

    def loss_of(o, m):
        bce = F.binary_cross_entropy_with_logits(o, m)
        q = torch.sigmoid(o)
        dice = 1 - (2 * (q * m).sum((1, 2, 3)) + 40) / (q.sum((1, 2, 3)) + m.sum((1, 2, 3)) + 40)
        return bce + 0.5 * dice.mean()

    t0, run = time.time(), None
    for s in range(steps):
        g = groups[keys[rng.choice(len(keys), p=share)]]
        x, m = batch(g, rng.integers(0, len(g), B))
        net.train()
        l = loss_of(net(x), m)
        opt.zero_grad()
        l.backward()
        nn.utils.clip_grad_norm_(net.parameters(), 1.0)
        opt.step()
        sched.step()
        run = l.item() if run is None else 0.98 * run + 0.02 * l.item()
        if s % 200 == 199 or s == steps - 1:
            net.eval()
            ious = []
            with torch.no_grad():
                for g in hold.values():
                    for i in range(0, len(g), 40):
                        x, m = batch(g, np.arange(i, min(i + 40, len(g))), False)
                        o, m = net(x) > 0, m > 0.5
                        i_, u_ = (o & m).sum((1, 2, 3)).float(), (o | m).sum((1, 2, 3)).float()
                        ious += list(((i_ + 1) / (u_ + 1)).numpy())
            v = np.array(ious)
            print(f"{s+1}/{steps} loss {run:.4f} held IoU mean {v.mean():.4f} median {np.median(v):.4f} under .9 {np.mean(v<.9):.3f} under .7 {np.mean(v<.7):.3f} {time.time()-t0:.0f}s", flush=True)
            if a.state:
                torch.save(net.state_dict(), a.state)
    first = next(iter(hold.values()))[:1, ::2, ::2, :3]  # small, of sides that the network takes as they are
    first = first[:, :first.shape[1] // 16 * 16, :first.shape[2] // 16 * 16].astype(np.float32)
    if next(iter(hold.values())).dtype == np.uint16:
        first = (first / 4).astype(np.uint8).astype(np.float32)
    first = torch.from_numpy(first.transpose(0, 3, 1, 2).copy())
    keep(net, a.out, (a.check, first) if a.check else None)


if __name__ == "__main__":
    main()
