"""Learns the network of package tagger from printouts with what their words say.

    python3 learn.py --slips slips.jsonl --goes 10 --out DIR

Needs PyTorch (Debian: python3-torch, python3-numpy). The slips are those of
TestTaggerSlips in package parse. DIR gets weights.bin (half precision numbers in the
order in which tagger.go reads them), tags.txt and testdata/check.json: what the network
says of a printout, for the test of the package. With --hold FILE the share of words
that are taken for what they are is printed for other slips as it learns.

Slips are changed each time they are seen: other figures, other words for the same by
the lexicon, short forms, misprints, lines left out, capitals, columns a character off.
"""
import argparse
import functools
import json
import math
import os
import random
import re
import time

import numpy as np
import torch
from torch import nn
from torch.nn import functional as F

from align import align
from made.words import lexicon as spellings

# The sizes of the network; tagger.go has the same.
BUCKETS, WIDE, HEADS, LEVELS, PAIRS, FIGURES, STEPS = 4096, 96, 4, 3, 32, 10, 12
# What fields of codes may be; record/kind.go has the same.
CODES = {
    "result": "pass fail inconclusive aborted", "alarm.state": "raised cleared acknowledged", "method": "static continuous",
    "sensor_status.state": "normal fuel water liquid high low out other", "device": "tank line sensor system",
    "grade": "regular midgrade premium e15 e85 diesel biodiesel kerosene def other",
}
CODES = {sense: codes.split() for sense, codes in CODES.items()}
ON_LINE, ON_OTHER = 17, 14
STANDINGS = ON_LINE + 3 * ON_OTHER
MOST = 220  # words of a slip that are learned from together
AROUND = ".:=,;()[]*#-<>|"


def lexicon():
    """What single words are known as, by the word; words for the same; the words of each code."""
    known, alike, phrases = {}, {}, {}
    for sense, codes in spellings().items():
        for code, all_words in codes.items() if sense not in ("field", "skip") else ():
            phrases[sense, code] = set(all_words)
            words = [w for w in all_words if " " not in w]
            for w in words:
                known.setdefault(w, set()).add("L" + sense + ":" + code)
                if sense in ("part", "unit", "month", "weekday", "result", "sensor_state", "device", "alarm_state"):
                    alike.setdefault(w, []).append(words)
    return known, alike, phrases


KNOWN, ALIKE, PHRASES = lexicon()


def bucket(piece):
    x = 2166136261
    for c in piece.encode():
        x = ((x ^ c) * 16777619) & 0xFFFFFFFF
    return (x ^ x >> 15) % BUCKETS


@functools.lru_cache(400000)
def pieces(text):
    w = text.lower()
    core = w.strip(AROUND)
    out = {"w" + core, "z" + re.sub(r"\d", "0", core)} | KNOWN.get(core, set())
    for s in (w, re.sub(r"\d", "0", w)):
        s = "<" + s + ">"
        out |= {str(n) + s[i:i + n] for n in (2, 3, 4) for i in range(len(s) - n + 1)}
    return np.array(sorted({bucket(p) for p in out}), np.int64)


@functools.lru_cache(400000)
def figures(w):
    f = [0.0] * FIGURES
    f[0], f[1], f[2] = any(c.isdigit() for c in w), any(c.isalpha() for c in w), len(w) / 10
    m = re.fullmatch(r"[^\d+\-.]*([+-]?\d[\d,]*\.?\d*|[+-]?\.\d+)\D*", w)
    if m:
        number = m.group(1).rstrip(".")
        v = float(number.replace(",", ""))
        f[3], f[4], f[5], f[6] = 1, math.log10(1 + abs(v)) / 4, v < 0, "." in number
    f[7], f[8], f[9] = w.endswith((":", "=")), bool(re.fullmatch(r"[-=_*.+~|#]+", w)), w.startswith("(")
    return f


# Figures that mean more than how many: rates that are tested for, octane numbers and shares.
MEANS = re.compile(r"^(0?\.[12]0?|3\.00?|87|89|9[1-8]|85|15|10|20)$")


def changed(w, rng):
    """A word as another printout might have it."""
    if any(c.isdigit() for c in w) and not MEANS.match(w.strip("():=,")) and rng.random() < 0.5:
        w = "".join(rng.choice("0123456789") if c.isdigit() and rng.random() < 0.4 else c for c in w)
    core = w.strip(".:=,;()")
    if rng.random() < 0.15 and len(core) > 1 and core.lower() in ALIKE:
        other = rng.choice(rng.choice(ALIKE[core.lower()]))
        other = other.upper() if core.isupper() else other.capitalize() if core[:1].isupper() else other
        w = w.replace(core, other)
    if rng.random() < 0.04 and len(w) > 4 and w.isalpha():
        how = rng.random()
        if how < 0.4:
            w = w[0] + re.sub("[aeiouAEIOU]", "", w[1:])
        elif how < 0.7:
            w = w[:rng.choice((3, 4))]
        else:
            i = rng.randrange(len(w))
            w = w[:i] + rng.choice("abcdefghijklmnopqrstuvwxyz") + w[i + 1:]
    return w


class Slip:
    """words: text, line, column, width, place on its line; tags, weights, records of each."""

    def __init__(self, row, tag):
        self.set, self.lines, self.apart = row["set"], len(row["lines"]), row["apart"]
        self.words, place = [], {}
        for i, line in enumerate(row["lines"]):
            k = 0
            for j, w in enumerate(line):
                if any(c.isalnum() for c in w["text"]):  # marks say nothing
                    place[i, j] = len(self.words)
                    self.words.append((w["text"], i, w["col"], w["width"], k))
                    k += 1
        n = len(self.words)
        words_of = lambda run: [place[run["line"], j] for j in range(run["from"], run["to"] + 1) if (run["line"], j) in place]
        said = [[] for _ in range(n)]  # kind, field, record and value that each word says
        for run in row["tags"]:
            for w in words_of(run):
                said[w].append((run["kind"], run["field"], run["record"], run.get("value")))
        align([w[:4] for w in self.words], said, row["missing"], PHRASES)
        # What a summary prints of a pass is the summary's: the test follows from it.
        follow = {r for of in said if any(x[0] == "line_summary" for x in of) for k, f, r, _ in of if k == "line_test" and f == "ended_at"}
        self.tags, self.weight, self.records = [0] * n, [1.0] * n, [set() for _ in range(n)]
        self.codes = [{} for _ in range(n)]  # by sense
        for w, of in enumerate(said):
            self.codes[w].update(c for kind, field, _, value in of if (c := code_of(kind, field, value)))
            of = [x for x in of if x[1] != "grade" and x[2] not in follow]  # the product says the grade
            if of:
                kind, field = min(of, key=lambda x: {"test_class": 1, "method": 1, "device": 2}.get(x[1], 0))[:2]
                self.tags[w], self.records[w] = tag(kind + "." + field), {x[2] for x in of if x[2] >= 0}
        self.lacking = [(m, tag(m["kind"] + "." + m["field"])) for m in row["missing"] if m["record"] >= 0 and m["record"] not in follow
                        and m["field"] != "grade" and not any((m["kind"], m["field"], m["record"]) == x[:3] for of in said for x in of)]
        lacks = {isinstance(m["value"], str) and not m["value"][:1].isdigit() for m, _ in self.lacking}
        unsure = {w for run in row["doubtful"] for w in words_of(run)}
        for w in range(n):
            if not self.tags[w] and (w in unsure or (not any(c.isdigit() for c in self.words[w][0])) in lacks):
                self.weight[w] = 0


def code_of(kind, field, value):
    """The sense of a field of codes and which of its codes a value is; None for another."""
    sense = field if field in CODES else kind + "." + field
    return (sense, CODES[sense].index(value)) if value in CODES.get(sense, ()) else None


def look_again(slip, net):
    """Tags words of wanted values that nothing of their own tells, such as an unknown word for a
    result, where a network that has learned from the others takes words for them."""
    *fed, _, _, _, _ = batch([slip])
    with torch.no_grad():
        tell, together, _ = net(*fed)
    tell, together = tell[0].softmax(-1), together[0].sigmoid()
    n, found = len(tell), 0
    for m, t in slip.lacking:
        if not isinstance(m["value"], str):
            continue
        known = [w for w in range(n) if m["record"] in slip.records[w]]
        free = [w for w in range(n) if not slip.tags[w] and tell[w, t] > 0.2 and not slip.words[w][0].isdigit()]
        near = {w: together[w, known].mean().item() for w in free} if known else {}
        free = [w for w in free if near.get(w, 0) > 0.5]
        if not free:
            continue
        best = max(free, key=lambda w: near[w] * tell[w, t].item())
        run = [best]
        for step in (-1, 1):
            while run[-1 if step > 0 else 0] + step in free and slip.words[run[-1 if step > 0 else 0] + step][1] == slip.words[best][1]:
                run.insert(len(run) if step > 0 else 0, run[-1 if step > 0 else 0] + step)
        found += 1
        code = code_of(m["kind"], m["field"], m["value"])
        for w in run:
            slip.tags[w], slip.weight[w] = t, 1.0
            slip.records[w].add(m["record"])
            if code:
                slip.codes[w][code[0]] = code[1]
    return found


def seen(slip, rng=None):
    """What is fed of a slip: words as they are, or changed by a random generator."""
    at = list(range(len(slip.words)))
    if rng is None:
        return [(slip.words[i], i, 0) for i in at[:3 * MOST]]
    if rng.random() < 0.3:
        plain = {}
        for i in at:
            plain.setdefault(slip.words[i][1], []).append(slip.tags[i])
        gone = {line for line, tags in plain.items() if not any(tags) and rng.random() < 0.15}
        at = [i for i in at if slip.words[i][1] not in gone]
    if len(at) > MOST:
        first = rng.randrange(len(at) - MOST)
        at = at[first:first + MOST]
    case, shift, nearly, out = rng.random(), rng.randrange(6), rng.random() < 0.3, []
    for i in at:
        text, line, col, width, place = slip.words[i]
        text = changed(text, rng)
        text = text.upper() if case < 0.15 else text.lower() if case < 0.2 else text
        if nearly:
            col = max(0, col + rng.choice((-1, 0, 0, 1)))  # as columns are measured on pictures
        out.append(((text, line, col, width, place), i, shift))
    return out


def standing(line, left, right, place):
    lines = line[None, :] - line[:, None]
    beside = np.clip(place[None, :] - place[:, None], -8, 8) + 8
    k = np.clip(lines, -7, 7)
    k = np.where(k > 0, k - 1, k) + 7
    over = np.minimum(right[None, :], right[:, None]) > np.maximum(left[None, :], left[:, None])
    before = right[None, :] <= left[:, None]
    return np.where(lines == 0, beside, ON_LINE + k + np.where(over, ON_OTHER, np.where(before, 2 * ON_OTHER, 0)))


def batch(slips, rng=None):
    fed = [seen(s, rng) for s in slips]
    B, T = len(fed), max(1, max(len(f) for f in fed))
    bag, offset, count = [], [], 0
    like, places = np.zeros((B, T, FIGURES), np.float32), np.zeros((B, T, 4), np.int64)
    stand, there = np.zeros((B, T, T), np.int64), np.zeros((B, T), bool)
    same, tags, weight = np.full((B, T, T), -1, np.int8), np.zeros((B, T), np.int64), np.zeros((B, T), np.float32)
    codes = np.full((B, T, len(CODES)), -1, np.int64)
    for b, (slip, f) in enumerate(zip(slips, fed)):
        n = len(f)
        if n:
            line, left, width, place = (np.array([w[k] for w, _, _ in f]) for k in (1, 2, 3, 4))
            stand[b, :n, :n] = standing(line, left, left + width, place)
            there[b, :n] = True
            told = [t for t in range(n) if slip.records[f[t][1]]]
            if told:
                of = {}
                member = np.zeros((len(told), 200), np.float32)
                for row, t in enumerate(told):
                    for r in slip.records[f[t][1]]:
                        member[row, of.setdefault(r, len(of)) % 200] = 1
                both = ((member @ member.T) > 0).astype(np.int8)
                np.fill_diagonal(both, -1)
                same[b][np.ix_(told, told)] = both
        last, end = -1, 0
        for t in range(T):
            offset.append(count)
            if t >= n:
                continue
            (text, line_, left_, width_, _), i, shift = f[t]
            p = pieces(text)
            bag.append(p)
            count += len(p)
            like[b, t] = figures(text)
            gap = (3 if slip.apart[line_] else 0) if line_ != last else 2 if left_ - end >= 2 else 1
            last, end = line_, left_ + width_
            places[b, t] = min(line_, STEPS - 1), min(slip.lines - 1 - line_, STEPS - 1), gap, min((left_ + shift) // 4, STEPS - 1)
            tags[b, t], weight[b, t] = slip.tags[i], slip.weight[i]
            for k, sense in enumerate(CODES):
                codes[b, t, k] = slip.codes[i].get(sense, -1)
    bag = np.concatenate(bag) if bag else np.zeros(0, np.int64)
    return [torch.from_numpy(a) for a in (bag, np.array(offset, np.int64), like, places, stand, there, same, tags, weight, codes)]


class Level(nn.Module):
    def __init__(self):
        super().__init__()
        self.look, self.out = nn.Linear(WIDE, 3 * WIDE), nn.Linear(WIDE, WIDE)
        self.first, self.second = nn.LayerNorm(WIDE), nn.LayerNorm(WIDE)
        self.up, self.down = nn.Linear(WIDE, 2 * WIDE), nn.Linear(2 * WIDE, WIDE)
        self.drop = nn.Dropout(0.1)

    def forward(self, x, apart, there):
        B, T, _ = x.shape
        asks, keys, gives = self.look(self.first(x)).view(B, T, 3, HEADS, WIDE // HEADS).permute(2, 0, 3, 1, 4)
        a = asks @ keys.transpose(-1, -2) / math.sqrt(WIDE // HEADS) + apart
        a = a.masked_fill(~there[:, None, None, :], -1e9).softmax(-1)
        x = x + self.drop(self.out((a @ gives).transpose(1, 2).reshape(B, T, WIDE)))
        return x + self.drop(self.down(F.relu(self.up(self.second(x)))))


class Net(nn.Module):
    def __init__(self, tags):
        super().__init__()
        self.pieces, self.weigh = nn.EmbeddingBag(BUCKETS, WIDE, mode="mean"), nn.Linear(FIGURES, WIDE)
        self.places = nn.ModuleList([nn.Embedding(STEPS, WIDE) for _ in range(4)])
        self.levels = nn.ModuleList([Level() for _ in range(LEVELS)])
        self.norm, self.tell, self.join = nn.LayerNorm(WIDE), nn.Linear(WIDE, tags), nn.Linear(WIDE, WIDE)
        self.code = nn.Linear(WIDE, sum(len(c) for c in CODES.values()))
        self.ask, self.answer, self.apart = nn.Linear(WIDE, PAIRS), nn.Linear(WIDE, PAIRS), nn.Embedding(STANDINGS, LEVELS * HEADS + 1)
        self.drop = nn.Dropout(0.1)
        nn.init.zeros_(self.apart.weight)

    def forward(self, bag, offset, like, places, stand, there):
        B, T = there.shape
        x = self.join(F.relu(self.pieces(bag, offset).view(B, T, -1) * 3 + self.weigh(like)))
        x = self.drop(x + sum(p(places[:, :, i]) for i, p in enumerate(self.places)))
        *apart, near = self.apart(stand).permute(0, 3, 1, 2).split([HEADS] * LEVELS + [1], 1)
        for level, a in zip(self.levels, apart):
            x = level(x, a, there)
        x = self.norm(x)
        return self.tell(x), self.ask(x) @ self.answer(x).transpose(1, 2) / 4 + near[:, 0], self.code(x)

    def in_order(self):
        """The weights in the order in which they are kept."""
        dense = lambda l: [l.weight.T, l.bias]
        norm = lambda l: [l.weight, l.bias]
        out = [self.pieces.weight, *dense(self.weigh), *(p.weight for p in self.places)]
        apart = self.apart.weight
        for i, l in enumerate(self.levels):
            out += [*dense(l.look), *dense(l.out), *norm(l.first), *norm(l.second), *dense(l.up), *dense(l.down), apart[:, i * HEADS:(i + 1) * HEADS]]
        return out + [*norm(self.norm), *dense(self.tell), *dense(self.join), *dense(self.ask), *dense(self.answer), apart[:, -1], *dense(self.code)]


def right(net, slips):
    """The share of words with a tag that are taken for it, and of pairs that are told."""
    net.eval()
    told = all_ = pairs = all_pairs = coded = all_codes = 0
    with torch.no_grad():
        for i in range(0, len(slips), 8):
            *fed, same, tags, weight, codes = batch(slips[i:i + 8])
            tell, together, code = net(*fed)
            for k, some in enumerate(code.split([len(c) for c in CODES.values()], -1)):
                v = codes[:, :, k] >= 0
                coded, all_codes = coded + (some[v].argmax(-1) == codes[:, :, k][v]).sum().item(), all_codes + v.sum().item()
            v = fed[5] & (weight > 0) & (tags > 0)
            told, all_ = told + (tell.argmax(-1)[v] == tags[v]).sum().item(), all_ + v.sum().item()
            v = same >= 0
            pairs, all_pairs = pairs + ((together[v] > 0) == (same[v] > 0)).sum().item(), all_pairs + v.sum().item()
    return f"words {told / max(1, all_):.4f} of {all_}, pairs {pairs / max(1, all_pairs):.4f}, codes {coded / max(1, all_codes):.4f}"


# A made-up printout for the test of package tagger.
CHECK = ["QUARRY HILL FUELS     NO. 27", "14 MILL LANE, ASHDALE", "09/14/25   6:05 AM", "", "TANK LEAK TEST", "TANK: 2      DIESEL",
         "START   09/14/25 01:10", "END     09/14/25 05:10", "RATE, GAL/HR     -0.031", "(RESULT)          PASSED", "VOL 1,204.5 GAL"]


def keep(net, names, out):
    os.makedirs(os.path.join(out, "testdata"), exist_ok=True)
    with torch.no_grad():
        for p in net.parameters():
            p.copy_(torch.from_numpy(p.numpy().astype("<f2").astype(np.float32)))
    with open(os.path.join(out, "weights.bin"), "wb") as f:
        for w in net.in_order():
            f.write(w.detach().contiguous().numpy().astype("<f2").tobytes())
    with open(os.path.join(out, "tags.txt"), "w") as f:
        f.write("\n".join(["none"] + names[1:]) + "\n")
    row, apart = {"set": "check", "lines": [], "apart": [], "tags": [], "doubtful": [], "missing": []}, False
    for line in CHECK:
        if line:
            row["lines"].append([{"text": m.group(), "col": m.start(), "width": len(m.group())} for m in re.finditer(r"\S+", line)])
            row["apart"].append(apart)
        apart = not line
    slip = Slip(row, lambda name: 0)
    net.eval()
    with torch.no_grad():
        tell, together, code = net(*batch([slip])[:6])
    words = [{"Text": t, "Line": l, "Place": k, "Col": c, "Width": w, "Apart": slip.apart[l]} for t, l, c, w, k in slip.words]
    with open(os.path.join(out, "testdata", "check.json"), "w") as f:
        json.dump({"lines": slip.lines, "words": words, "likely": tell[0].softmax(-1).numpy().round(5).tolist(), "same": together[0].numpy().round(4).tolist(), "code": code[0].numpy().round(4).tolist()}, f)


def main():
    a = argparse.ArgumentParser()
    a.add_argument("--slips", required=True)
    a.add_argument("--hold")
    a.add_argument("--goes", type=float, default=10)
    a.add_argument("--rate", type=float, default=2e-3)
    a.add_argument("--seed", type=int, default=1)
    a.add_argument("--out", required=True)
    a = a.parse_args()
    torch.set_num_threads(1)  # the products are small: more of them wait for each other
    torch.manual_seed(a.seed)
    rng = random.Random(a.seed)
    names = ["none"]

    def tag(name):
        if name not in names:
            names.append(name)
        return names.index(name)

    slips = [s for s in (Slip(json.loads(l), tag) for l in open(a.slips)) if s.words]
    held = []
    if a.hold:
        known = len(names)
        held = [s for s in (Slip(json.loads(l), tag) for l in open(a.hold)) if s.words]
        del names[known:]
    net = Net(len(names))
    print(len(slips), "slips,", sum(p.numel() for p in net.parameters()), "weights", flush=True)
    weights = [{"fit": 0.5, "mixed": 0.5, "wild": 1.0, "made": 0.25}.get(s.set, 4.0) for s in slips]
    steps = int(a.goes * len(slips) / 16)
    opt = torch.optim.AdamW(net.parameters(), lr=a.rate, weight_decay=0.01)
    sched = torch.optim.lr_scheduler.OneCycleLR(opt, a.rate, steps, pct_start=0.1)
    start, run = time.time(), None
    for step in range(steps):
        if step == steps // 2:  # it knows enough now to say which words say what nothing else told
            net.eval()
            print(sum(look_again(s, net) for s in slips if s.lacking), "more values found", flush=True)
        some = sorted(rng.choices(slips, weights, k=16), key=lambda s: len(s.words))
        net.train()
        opt.zero_grad()
        total = 0
        for half in (some[:8], some[8:]):
            *fed, same, tags, weight, codes = batch(half, rng)
            tell, together, code = net(*fed)
            loss = (F.cross_entropy(tell.transpose(1, 2), tags, reduction="none", label_smoothing=0.02) * weight).sum() / weight.sum().clamp(min=1) / 2
            told = same >= 0
            if told.any():
                loss = loss + 0.5 * F.binary_cross_entropy_with_logits(together[told], same[told].float())
            for k, some in enumerate(code.split([len(c) for c in CODES.values()], -1)):
                v = codes[:, :, k] >= 0
                if v.any():
                    loss = loss + 0.1 * F.cross_entropy(some[v], codes[:, :, k][v], label_smoothing=0.02)
            loss.backward()
            total += loss.item()
        nn.utils.clip_grad_norm_(net.parameters(), 1.0)
        opt.step()
        sched.step()
        run = total if run is None else 0.99 * run + 0.01 * total
        if step % 500 == 499 or step == steps - 1:
            print(f"{step + 1}/{steps} loss {run:.4f} {right(net, held) if held else ''} {time.time() - start:.0f}s", flush=True)
    keep(net, names, a.out)


if __name__ == "__main__":
    main()
