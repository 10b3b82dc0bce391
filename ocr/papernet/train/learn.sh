#!/usr/bin/env bash
# Makes the weights of package papernet again, from nothing: draws pictures and learns
# from them. It takes about half an hour on two processors, and comes out a little
# different on other machines, as sums of rounded numbers do. The weights that are kept
# were learned so, but for the lids of scanners, which draw.py did not know then.
#
#   ocr/papernet/train/learn.sh [OUT]      PICTURES=8000 SEED=11 PYTHON=/usr/bin/python3
set -euo pipefail
cd "$(dirname "$0")/../../.."
out=${1:-ocr/papernet/weights.bin}
pictures=${PICTURES:-8000}
seed=${SEED:-11}
python=${PYTHON:-/usr/bin/python3}

if ! "$python" -c 'import torch, numpy, PIL' 2>/dev/null; then
	echo "learn: $python lacks PyTorch or Pillow; install them and run again: apt-get install python3-torch python3-numpy python3-pil libopenblas0-pthread" >&2
	exit 1
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
"$python" ocr/papernet/train/draw.py --pictures "$pictures" --seed "$seed" --out "$work/a.npz" &
"$python" ocr/papernet/train/draw.py --pictures "$pictures" --seed "$((seed + 1))" --out "$work/b.npz"
wait $!
check=()
if [ "$out" = ocr/papernet/weights.bin ]; then
	check=(--check ocr/papernet/testdata/check.bin)
fi
"$python" ocr/papernet/train/learn.py --pictures "$work/a.npz" "$work/b.npz" --goes 5 --out "$out" "${check[@]}"
