"""Tells where wanted values of printouts were lost: seen by the networks and lost behind it, or not seen.

    python3 losses.py FILE [--show KIND.FIELD]

FILE is that of TestTaggerLosses in package parse. For each state of a value (right, wrong, missing,
norecord: its record was not found) the table counts by what the networks take its words for:

    seen     all for its field, and for one record with the other words of it
    apart    for its field, but not for that record
    partly   some of them for its field
    unseen   none
    unknown  which words say it is not known: no word does, or align.py does not find them
    grade    the product says it

With --show the values of a field that are not right are listed.
"""
import argparse
import collections
import json
import os

import numpy as np
import torch

import learn

HERE = os.path.dirname(os.path.abspath(__file__))
WHYS = ["seen", "apart", "partly", "unseen", "unknown", "grade"]


def load():
    """The networks of package tagger, and the names of their tags."""
    with open(os.path.join(HERE, "..", "tags.txt")) as f:
        names = f.read().split()
    kept = torch.from_numpy(np.fromfile(os.path.join(HERE, "..", "weights.bin"), "<f2").astype(np.float32))
    nets = []
    while len(kept):
        net = learn.Net(len(names))
        with torch.no_grad():
            for w in net.in_order():  # views of the weights
                w.copy_(kept[:w.numel()].view(w.shape))
                kept = kept[w.numel():]
        nets.append(net.eval())
    return nets, names


def read(nets, fed):
    """How likely each word is each tag, and of one record with each other: the mean of the networks."""
    with torch.no_grad():
        said = [net(*fed) for net in nets]
    mean = lambda of: sum(of) / len(of)
    return mean([s[0][0].softmax(-1) for s in said]), mean([s[1][0].sigmoid() for s in said])


def main():
    a = argparse.ArgumentParser()
    a.add_argument("file")
    a.add_argument("--show", default="-")
    a = a.parse_args()
    nets, names = load()
    tag = lambda name: names.index(name) if name in names else -1
    count, fields = collections.Counter(), collections.defaultdict(collections.Counter)
    extra = 0
    for line in open(a.file):
        row = json.loads(line)
        slip = learn.Slip(row["slip"], tag)
        *fed, _, _, _, _ = learn.batch([slip])
        tell, together = read(nets, fed)
        best = tell.argmax(-1).tolist()
        for f in row["fields"]:
            if f["state"] == "extra":
                extra += 1
                continue
            t, r = tag(f["kind"] + "." + f["field"]), f["record"]
            words = [w for w in range(len(best)) if slip.tags[w] == t and r in slip.records[w]]
            others = [w for w in range(len(best)) if r in slip.records[w] and w not in words]
            right = sum(best[w] == t for w in words)
            if f["field"] == "grade":
                why = "grade"
            elif not words:
                why = "unknown"
            elif right < len(words):
                why = "partly" if right else "unseen"
            else:
                why = "seen" if not others or together[words][:, others].mean() > 0.5 else "apart"
            count[f["state"], why] += 1
            if f["state"] != "right":
                name = f["kind"] + "." + f["field"]
                fields[why][name] += 1
                if name.startswith(a.show):
                    print(why, row["file"], f, [slip.words[w][0] for w in words])
    print("%-10s" % "", *("%8s" % w for w in WHYS))
    for state in ("right", "wrong", "missing", "norecord"):
        print("%-10s" % state, *("%8d" % count[state, w] for w in WHYS))
    print(extra, "that nobody wanted")
    for why in WHYS:
        print(why + ":", ", ".join("%s %d" % x for x in fields[why].most_common(12)))


if __name__ == "__main__":
    main()
