#!/usr/bin/env bash
# Makes the weights of packages slipnet and stance again, from nothing: fetches open fonts
# and a list of words from Debian, unpacks them into a temporary folder without
# installing them, draws slips and learns from them. It takes about an hour on
# two processors, and comes out a little different on other machines, as sums of
# rounded numbers do.
#
# The weights that are kept were learned in three goes of 4,000, 9,600 and 18,000
# slips with seeds 7, 8 and 9, each going on from the last (learn.py --start), the
# first two without rows of tables among the text. One go of as many is simpler;
# how well it reads has not been measured.
#
#   ocr/slipnet/train/learn.sh [OUT]      SLIPS=32000 SEED=7 PYTHON=/usr/bin/python3
set -euo pipefail
cd "$(dirname "$0")/../../.."
out=${1:-ocr/slipnet/weights.bin}
slips=${SLIPS:-32000}
python=${PYTHON:-/usr/bin/python3}

if ! "$python" -c 'import torch, numpy' 2>/dev/null; then
	echo "learn: $python has no PyTorch; install it and run again: apt-get install python3-torch python3-numpy libopenblas0-pthread" >&2
	exit 1
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
packages=(
	console-setup-linux fonts-3270 fonts-agave fonts-anonymous-pro fonts-b612 fonts-cantarell
	fonts-courier-prime fonts-dejavu-core fonts-dejavu-extra fonts-dotgothic16 fonts-fantasque-sans
	fonts-firacode fonts-freefont-ttf fonts-glasstty fonts-gnutypewriter fonts-hack-ttf fonts-hermit
	fonts-jetbrains-mono fonts-jura fonts-lato fonts-league-mono fonts-monofur fonts-monoid
	fonts-mononoki fonts-naver-d2coding fonts-noto-core fonts-noto-mono fonts-open-sans fonts-proggy
	fonts-roboto-unhinted fonts-spleen fonts-terminus-otb fonts-tlwg-mono-ttf fonts-unifont
	fonts-urw-base35 unifont wamerican
)
(
	cd "$work"
	chmod 755 .
	apt-get download -q "${packages[@]}" >/dev/null
	for p in *.deb; do dpkg -x "$p" files; done
)
go build -o "$work/draw" ./ocr/slipnet/train
"$work/draw" -fonts "$work/files" -words "$work/files/usr/share/dict/american-english" -slips "$slips" -seed "${SEED:-7}" |
	"$python" ocr/slipnet/train/learn.py --slips "$slips" --out "$out" --check ocr/slipnet/testdata/check.bin

# The small network of package stance learns from the same lines, each upright and
# turned by half a turn.
if [ "$out" = ocr/slipnet/weights.bin ]; then
	"$work/draw" -natural -fonts "$work/files" -words "$work/files/usr/share/dict/american-english" -slips 8000 -seed 3 |
		"$python" ocr/slipnet/train/learn_stance.py --slips 8000 --out ocr/stance/weights.bin --check ocr/stance/testdata/check.bin
fi
