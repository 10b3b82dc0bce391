"""Makes random printouts, each by a random console of its own, with exact truth.

    python3 made.py --slips 20000 --seed 1 > made.jsonl
    python3 made.py --slips 40 --seed 2 --show

The rows are what learn.py reads; the same seed makes the same rows. With --show the
printouts are written as text, with what the words of each line say behind it. The parts
are in folder made: facts are random records, words and forms how a console says them,
sections what is printed of a kind, layouts how it is laid out, page where words stand.
"""
import argparse
import random
import sys

from made.sheet import make


def main():
    a = argparse.ArgumentParser()
    a.add_argument("--slips", type=int, default=1000)
    a.add_argument("--seed", type=int, default=1)
    a.add_argument("--show", action="store_true")
    a = a.parse_args()
    for n in range(a.slips):
        page = make(random.Random(f"{a.seed}/{n}"))
        sys.stdout.write(f"== {n}\n{page.text()}\n" if a.show else page.row() + "\n")


if __name__ == "__main__":
    main()
