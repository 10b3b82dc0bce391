#!/usr/bin/env bash
# Makes the weights of package papernet again, from nothing: draws pictures and learns
# from them. It takes about an hour on two processors, and comes out a little
# different on other machines, as sums of rounded numbers do. The weights that are kept
# were learned so, but for the lids of scanners, which draw.py did not know when it drew
# for weights.bin.
#
#   ocr/papernet/train/learn.sh [DIR]      PICTURES=8000 SHEETS=2400 SEED=11 PYTHON=/usr/bin/python3
#
# PICTURES are drawn twice for weights.bin, SHEETS for apart.bin.
set -euo pipefail
cd "$(dirname "$0")/../../.."
out=${1:-ocr/papernet}
pictures=${PICTURES:-8000}
seed=${SEED:-11}
python=${PYTHON:-/usr/bin/python3}

if ! "$python" -c 'import torch, numpy, PIL' 2>/dev/null; then
	echo "learn: $python lacks PyTorch or Pillow; install them and run again: apt-get install python3-torch python3-numpy python3-pil libopenblas0-pthread" >&2
	exit 1
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
train=ocr/papernet/train
mkdir -p "$out/testdata"

"$python" $train/draw.py --pictures "$pictures" --seed "$seed" --out "$work/a.npz" &
"$python" $train/draw.py --pictures "$pictures" --seed "$((seed + 1))" --out "$work/b.npz"
wait $!
"$python" $train/learn.py --pictures "$work/a.npz" "$work/b.npz" --goes 5 \
	--out "$out/weights.bin" --check "$out/testdata/check.bin"
rm "$work"/*.npz

sheets=${SHEETS:-2400}
"$python" $train/sheets.py --pictures "$sheets" --seed "$((seed + 10))" --out "$work/a.npz" &
"$python" $train/sheets.py --pictures "$sheets" --seed "$((seed + 11))" --out "$work/b.npz"
wait $!
"$python" $train/learn.py --pictures "$work/a.npz" "$work/b.npz" --goes 5 --batch 8 \
	--out "$out/apart.bin" --check "$out/testdata/check-apart.bin"
