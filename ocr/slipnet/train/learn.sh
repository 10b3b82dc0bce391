#!/usr/bin/env bash
# Makes the weights of packages slipnet and stance again, from nothing: fetches open fonts
# and a list of words from Debian, unpacks them into a temporary folder without
# installing them, draws slips and learns from them. It takes about two hours on
# two processors, and comes out a little different on other machines, as sums of
# rounded numbers do.
#
# The weights that are kept were learned in four goes of 4,000, 9,600, 18,000 and
# 22,000 slips with seeds 7, 8, 9 and 14, each going on from the last (learn.py
# --start): the first two without rows of tables among the text, the first three
# without the second list of fonts below and without faces that are changed or mixed.
# The last is the mean with the one before (--keep 0.4): on the fit part word F1 of
# before, after and the mean was .989, .983 and .987 at scan, .967, .972 and .974 at
# faded, .975, .978 and .981 at worn. One go of as many is simpler; how well it reads has not been
# measured.
#
#   ocr/slipnet/train/learn.sh [OUT]      SLIPS=50000 SEED=7 PYTHON=/usr/bin/python3
set -euo pipefail
cd "$(dirname "$0")/../../.."
out=${1:-ocr/slipnet/weights.bin}
slips=${SLIPS:-50000}
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

	fonts-adf-ikarius fonts-adf-mekanus fonts-adf-solothurn fonts-adf-universalis fonts-averia-sans-gwf
	fonts-averia-serif-gwf fonts-bebas-neue fonts-cabin fonts-comfortaa fonts-comic-neue fonts-creep2
	fonts-essays1743 fonts-f500 fonts-hosny-thabit fonts-linuxlibertine fonts-misaki fonts-mplus
	fonts-nanum-coding fonts-ocr-a fonts-ocr-b fonts-oxygen fonts-quicksand fonts-sil-andika
	fonts-sil-charis fonts-takao-gothic fonts-texgyre fonts-tuffy fonts-vlgothic fonts-vollkorn
	xfonts-100dpi xfonts-75dpi xfonts-base
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
