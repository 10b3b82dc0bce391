#!/usr/bin/env bash
# Makes the weights of package tagger again, from nothing: writes printouts of part fit,
# the strangers' ones and made up ones with what their words say, and learns from them. It takes
# about an hour and a half on one processor, and comes out a little different on other machines,
# as sums of rounded numbers do.
#
#   parse/tagger/train/learn.sh [DIR]      GOES=11.3 MADE='16000:31 12000:47' SEED=1 PYTHON=/usr/bin/python3
set -euo pipefail
cd "$(dirname "$0")/../../.."
out=${1:-parse/tagger}
python=${PYTHON:-/usr/bin/python3}

if ! "$python" -c 'import torch, numpy' 2>/dev/null; then
	echo "learn: $python lacks PyTorch; install it and run again: apt-get install python3-torch python3-numpy libopenblas0-pthread" >&2
	exit 1
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
go test ./parse -run TestTaggerSlips -tagger-slips "$work/slips.jsonl"
for made in ${MADE:-16000:31 12000:47}; do # how many, of which seed
	"$python" parse/tagger/train/made.py --slips "${made%:*}" --seed "${made#*:}" >> "$work/slips.jsonl"
done
OMP_NUM_THREADS=1 "$python" parse/tagger/train/learn.py --slips "$work/slips.jsonl" --goes "${GOES:-11.3}" --seed "${SEED:-1}" --out "$out"
