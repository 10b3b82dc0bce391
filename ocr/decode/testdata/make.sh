#!/bin/sh
# Makes the small files in kinds from one picture, with tools from Debian 12:
#   apt-get install imagemagick libtiff-tools libheif-examples webp qpdf img2pdf \
#     libimage-exiftool-perl
# They are kept, so that tests need none of these. Run it only to add a kind.
set -eu
cd "$(dirname "$0")/kinds"
rm -f ./*

# The pictures that all others are made of: no side or turn of them looks like
# another; the last one is black and white.
convert -size 96x64 gradient:gray90-gray40 -fill black -draw "rectangle 8,8 15,55 rectangle 8,8 47,15 rectangle 8,28 35,34" \
	-fill white -draw "rectangle 70,40 90,58" -colorspace Gray -depth 8 -define png:color-type=0 grey.png
convert grey.png -fill "rgb(200,40,60)" -draw "rectangle 56,4 88,30" -fill "rgb(40,60,190)" -draw "rectangle 20,40 60,58" \
	-depth 8 -define png:color-type=2 colour.png
convert grey.png -threshold 62% -define png:color-type=0 -define png:bit-depth=1 bilevel.png

# PNG
convert grey.png -depth 16 -define png:color-type=0 -define png:bit-depth=16 grey-16.png
convert colour.png -depth 16 -define png:color-type=2 -define png:bit-depth=16 colour-16.png
convert colour.png -interlace PNG -define png:color-type=2 colour-interlaced.png
convert bilevel.png -define png:color-type=3 bilevel-palette.png
convert grey.png -fuzz 0 -transparent white -define png:color-type=6 grey-alpha.png

# JPEG
convert grey.png -quality 95 grey.jpg
convert colour.png -quality 95 -sampling-factor 2x2 colour.jpg
convert colour.png -quality 95 -sampling-factor 1x1 -interlace JPEG colour-progressive.jpg
convert colour.png -colorspace CMYK -quality 95 colour-cmyk.jpg

# WebP
cwebp -quiet -q 95 colour.png -o colour.webp
cwebp -quiet -lossless colour.png -o colour-lossless.webp
cwebp -quiet -q 95 grey-alpha.png -o grey-alpha.webp

# HEIC
heif-enc -q 95 colour.png -o colour.heic >/dev/null
heif-enc -q 95 grey.png -o grey.heic >/dev/null
heif-enc -q 95 colour-16.png -o colour-16.heic >/dev/null
exiftool -q -overwrite_original -n -Orientation=6 -o turned.jpg grey.jpg
heif-enc -q 95 turned.jpg -o grey-exif-6.heic >/dev/null
rm turned.jpg

# TIFF
convert grey.png -compress none grey.tif
convert grey.png -compress none -define tiff:endian=msb grey-msb.tif
convert grey.png -negate -compress none -define quantum:polarity=min-is-white grey-white.tif
convert grey-16.png -compress none grey-16.tif
convert grey.png -depth 4 -compress none grey-4.tif
convert colour.png -compress none colour.tif
convert colour-16.png -compress none colour-16.tif
convert colour.png -colors 16 -type Palette -compress none colour-palette.tif
convert colour.png -colorspace CMYK -compress none colour-cmyk.tif
convert grey-alpha.png -compress none grey-alpha.tif
convert bilevel.png -compress Group4 bilevel-g4.tif
tiffcp -c none bilevel-g4.tif bilevel.tif
for c in none lzw lzw:2 zip zip:2 packbits; do
	tiffcp -c $c colour.tif "colour-$(echo $c | tr : -).tif"
done
tiffcp -c zip:2 grey-16.tif grey-16-zip-2.tif
tiffcp -c zip -p separate colour.tif colour-separate.tif
tiffcp -c lzw -t -w 32 -l 16 colour.tif colour-tiles.tif
tiffcp -c jpeg:95 -r 16 colour.tif colour-jpeg.tif
tiffcp -c jpeg:95:r -r 16 colour.tif colour-jpeg-rgb.tif
tiffcp -c jpeg:95 -t -w 32 -l 32 colour.tif colour-jpeg-tiles.tif
tiffcp -c jpeg:95 -r 16 grey.tif grey-jpeg.tif
for c in g3:1d g3:2d g3:1d:fill g3:2d:fill; do
	tiffcp -c $c bilevel.tif "bilevel-$(echo $c | tr : -).tif"
done
tiffcp -c g3:2d -f lsb2msb bilevel.tif bilevel-g3-2d-lsb.tif
tiffcp -c g4 -f lsb2msb bilevel.tif bilevel-g4-lsb.tif
tiffcp -c g4 -r 7 bilevel.tif bilevel-g4-strips.tif
convert bilevel.png -define quantum:polarity=min-is-black -compress Group4 bilevel-black-g4.tif
tiffcp -c none bilevel-black-g4.tif bilevel-black.tif
tiffcp -c lzw grey.tif colour.tif bilevel-g4.tif pages.tif
tiffcp -8 -c lzw grey.tif big.tif

# PDF: of one page, of two, with and without a password
img2pdf --output plain.pdf grey.png
qpdf --empty --pages plain.pdf plain.pdf -- plain-pages.pdf
qpdf --encrypt secret owner 256 -- plain.pdf encrypted.pdf
qpdf --encrypt "" owner 128 --use-aes=y -- plain.pdf owner-only.pdf
