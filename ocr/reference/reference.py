"""Reference values for the geometric and threshold steps of ocr.

General-purpose libraries compute on small pictures what ocr/raster, ocr/paper
and ocr/ink compute; TestReference in each of them compares. Everything is drawn,
with fixed seeds, or cut from kept pictures of part fit.

    /usr/bin/python3 ocr/reference/reference.py            write testdata anew
    /usr/bin/python3 ocr/reference/reference.py -check     fail when testdata differs

Needs Debian's python3-opencv, python3-skimage and python3-scipy; the versions
that made testdata stand in testdata/values.json. Pictures of 16 bits hold 256
steps a level, so that rounding stays below a hundredth of a level.

Places follow the project: (0, 0) is the corner of the first pixel and its
centre lies at (0.5, 0.5), so half a pixel is taken off for the libraries, which
count from the centre.
"""

import json
import math
import pathlib
import sys

import cv2
import numpy as np
import scipy
import scipy.ndimage as ndi
import skimage
import skimage.feature
import skimage.filters
import skimage.transform

HERE = pathlib.Path(__file__).resolve().parent
SET = HERE.parent.parent / "fixtures" / "set"
pictures, values = {}, {}


def keep8(name, a):
    pictures[name] = np.clip(np.rint(a), 0, 255).astype(np.uint8)
    return pictures[name].astype(np.float64)


def keep16(name, a):
    pictures[name] = np.clip(np.rint(np.asarray(a) * 256), 0, 65535).astype(np.uint16)


def same(what, a, b, tolerance):
    """Two references must agree before either is one."""
    worst = float(np.max(np.abs(np.asarray(a) - np.asarray(b))))
    if not worst <= tolerance:
        sys.exit(f"{what}: two references differ by {worst}, more than {tolerance}")


# ---- ocr/raster ----


def chart():
    """Noise, steps and strokes: what filters are tried on."""
    rng = np.random.RandomState(1)
    a = 120 + 70 * np.sin(np.arange(97) / 9.0)[None, :] * np.cos(np.arange(73) / 13.0)[:, None]
    a[:, 60:] += 40
    a[20:23, 10:50] -= 90
    a[30:60, 30:32] -= 90
    return keep8("chart", a + rng.normal(0, 8, a.shape))


def gaussian(a, sigma):
    wide = 2 * int(math.ceil(8 * sigma)) + 1
    one = cv2.GaussianBlur(a, (wide, wide), sigma, borderType=cv2.BORDER_REPLICATE)
    same("gaussian", one, ndi.gaussian_filter(a, sigma, mode="nearest", truncate=8), 0.05)
    return one


def boxes(a, r):
    """Three means over 2r+1 samples; at an edge over those that are there."""
    k = (2 * r + 1, 2 * r + 1)
    for _ in range(3):
        a = cv2.boxFilter(a, -1, k, normalize=False, borderType=cv2.BORDER_CONSTANT) / cv2.boxFilter(
            np.ones_like(a), -1, k, normalize=False, borderType=cv2.BORDER_CONSTANT)
    return a


def filters(a):
    values["narrow"] = [0.5, 0.7, 1.2, 1.9, 2.4]
    for sigma in values["narrow"]:
        keep16(f"gaussian-{sigma}", gaussian(a, sigma))
    # Three boxes of r to both sides spread by the root of r(r+1).
    values["wide"] = []
    for sigma in (2.5, 3, 4, 5, 6):
        r = round((math.sqrt(4 * sigma ** 2 + 1) - 1) / 2)
        values["wide"].append({"sigma": sigma, "spread": math.sqrt(r * (r + 1))})
        keep16(f"gaussian-{sigma}", gaussian(a, math.sqrt(r * (r + 1))))
    values["boxes"] = [{"sigma": 2.5, "radius": 2}, {"sigma": 4, "radius": 4}, {"sigma": 8, "radius": 8}]
    for b in values["boxes"]:
        keep16(f"boxes-{b['radius']}", boxes(a, b["radius"]))
    values["morphology"] = [[1, 0], [0, 2], [3, 1], [6, 6]]
    for rx, ry in values["morphology"]:
        k = np.ones((2 * ry + 1, 2 * rx + 1), np.uint8)
        keep8(f"max-{rx}-{ry}", cv2.dilate(a, k))
        keep8(f"min-{rx}-{ry}", cv2.erode(a, k))
        keep8(f"close-{rx}-{ry}", cv2.morphologyEx(a, cv2.MORPH_CLOSE, k))
    for n in range(4):
        keep8(f"quarter-{n}", np.rot90(a, -n))


def dots():
    """Round dots at odd places on 241 x 181, for where resampling puts them."""
    yy, xx = np.mgrid[0:181, 0:241] + 0.5
    a = np.full((181, 241), 20.0)
    at = [[x, y] for y in (22.3, 68.7, 113.1, 159.4) for x in (21.6, 70.2, 120.9, 171.3, 219.8)]
    for x, y in at:
        a += 200 * np.exp(-((xx - x) ** 2 + (yy - y) ** 2) / (2 * 3.5 ** 2))
    return keep8("dots", a), at


def centre(a, x, y, r):
    """The centre of brightness above the ground within r of a place."""
    yy, xx = np.mgrid[0:a.shape[0], 0:a.shape[1]] + 0.5
    w = np.where((abs(xx - x) <= r) & (abs(yy - y) <= r), np.maximum(a - 20, 0), 0)
    return [float((w * xx).sum() / w.sum()), float((w * yy).sum() / w.sum())]


def resampling(a):
    values["reduce"] = [2, 3, 4, 5]
    for f in values["reduce"]:
        h, w = a.shape[0] // f, a.shape[1] // f
        keep16(f"reduce-{f}", cv2.resize(a[:h * f, :w * f], (w, h), interpolation=cv2.INTER_AREA))
    values["resize"] = [[97, 110], [150, 73], [165, 124], [80, 60], [60, 70]]
    for w, h in values["resize"]:
        keep16(f"resize-{w}-{h}", cv2.resize(a, (w, h), interpolation=cv2.INTER_LINEAR))
    d, at = dots()
    values["shrink"] = []
    for w, h in [[200, 150], [120, 90], [100, 75], [87, 66], [60, 45]]:
        s = cv2.resize(d, (w, h), interpolation=cv2.INTER_AREA)
        keep16(f"shrink-{w}-{h}", s)
        values["shrink"].append({"w": w, "h": h, "dots": [
            centre(s, x * w / 241, y * h / 181, 12 * w / 241) for x, y in at]})
    values["dots"] = at
    rng = np.random.RandomState(2)
    at = np.rint(np.column_stack([rng.uniform(-2, 98, 200), rng.uniform(-2, 74, 200)]) * 1000) / 1000
    v = ndi.map_coordinates(a, [at[:, 1], at[:, 0]], order=1, mode="nearest")
    values["bilinear"] = [[x, y, round(float(g), 6)] for (x, y), g in zip(at, v)]
    values["quantile"] = [
        {"q": q, "low": float(np.quantile(a, q, method="lower")), "high": float(np.quantile(a, q, method="higher"))}
        for q in (0, 0.02, 0.1, 0.25, 0.5, 0.75, 0.96, 0.99, 1)]


# ---- ocr/paper ----


def flat_size(q):
    """As wide and high as the longer of the opposite sides."""
    d = lambda a, b: math.hypot(a[0] - b[0], a[1] - b[1])
    return max(d(q[0], q[1]), d(q[3], q[2])), max(d(q[0], q[3]), d(q[1], q[2]))


def seen(w, h, lean_x, lean_y, turn, cx, cy):
    """The corners of a sheet before a pinhole camera."""
    far, out = 2.5 * max(w, h), []
    for u, v in ((0, 0), (1, 0), (1, 1), (0, 1)):
        x, y = (u - 0.5) * w, (v - 0.5) * h
        x, y = x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)
        y, z = y * math.cos(lean_x), y * math.sin(lean_x)
        x, z = x * math.cos(lean_y) - z * math.sin(lean_y), x * math.sin(lean_y) + z * math.cos(lean_y)
        k = far / (far + z)
        out.append([round(8 * (cx + k * x)) / 8, round(8 * (cy + k * y)) / 8])  # eighths are exact in 32 bits
    return out


def homography(q):
    w, h = flat_size(q)
    rect = np.array([[0, 0], [w, 0], [w, h], [0, h]])
    one = cv2.getPerspectiveTransform(rect.astype(np.float32), np.array(q, np.float32))
    two = skimage.transform.ProjectiveTransform()
    two.estimate(rect, np.array(q))
    p = np.array([[x * w, y * h] for y in (0, 0.3, 0.5, 0.9, 1) for x in (0, 0.25, 0.5, 0.8, 1)])
    same("homography", cv2.perspectiveTransform(p[None], one)[0], two(p), 0.01)
    return two, w, h


def homographies():
    rng, out = np.random.RandomState(3), []
    for _ in range(24):
        q = seen(rng.uniform(200, 3000), rng.uniform(200, 4000), rng.uniform(-0.5, 0.5), rng.uniform(-0.5, 0.5),
                 rng.uniform(-3.1, 3.1), 2000, 2500)
        t, w, h = homography(q)
        p = [[round(x * w, 3), round(y * h, 3)] for y in (0, 0.31, 0.5, 0.97) for x in (0.04, 0.5, 1)]
        out.append({"quad": q, "flat": p, "seen": np.round(t(np.array(p)), 6).tolist()})
    values["homography"] = out


def marks():
    """Marks of four squares on a sheet that leans, as a camera sees them; flattened again."""
    q = seen(230, 300, 0.42, -0.33, 0.14, 150, 185)
    t, w, h = homography(q)
    at = [[(i + 0.5) / 5 * w, (k + 0.5) / 6 * h] for k in range(6) for i in range(5)]
    n = 5  # samples a pixel each way
    yy, xx = (np.mgrid[0:370 * n, 0:300 * n] + 0.5) / n
    flat = t.inverse(np.column_stack([xx.ravel(), yy.ravel()]))
    u, v = flat[:, 0].reshape(xx.shape), flat[:, 1].reshape(xx.shape)
    ink = np.zeros(xx.shape)
    for x, y in at:
        dx, dy = abs(u - x), abs(v - y)
        ink += (dx < 9) & (dy < 9) & ((u > x) == (v > y))
    a = keep8("marks", 20 + 200 * np.minimum(ink, 1).reshape(370, n, 300, n).mean((1, 3)))
    values["marks"] = {"quad": q, "w": w, "h": h, "at": at, "scales": []}
    for scale in (1, 1.7, 0.6):
        fw, fh = max(round(w * scale), 1), max(round(h * scale), 1)
        by = np.array([[1 / scale, 0, 0.5 / scale], [0, 1 / scale, 0.5 / scale], [0, 0, 1]])
        back = np.array([[1, 0, -0.5], [0, 1, -0.5], [0, 0, 1]])
        m = back @ t.params @ by
        f = skimage.transform.warp(a, m, output_shape=(fh, fw), order=1, mode="edge", preserve_range=True)
        c = cv2.warpPerspective(a, m, (fw, fh), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP, borderMode=cv2.BORDER_REPLICATE)
        same("flattened", f, c, 7)  # the second knows places to a 32nd of a pixel only
        keep16(f"marks-flat-{scale}", f)
        found = [centre(f, x * scale, y * scale, 14 * scale) for x, y in at]
        # A saddle finder of another kind says the same of where they are.
        p = np.array([[[x * scale - 0.5, y * scale - 0.5]] for x, y in at], np.float32)
        cv2.cornerSubPix(np.clip(f, 0, 255).astype(np.uint8), p, (max(int(6 * scale), 3),) * 2, (-1, -1),
                         (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_MAX_ITER, 60, 0.001))
        same("places of marks", p[:, 0] + 0.5, found, 0.35)
        values["marks"]["scales"].append({"scale": scale, "found": np.round(found, 4).tolist()})


def cut(name, x, y, w, h):
    return cv2.imread(str(SET / f"{name}.jpg"), cv2.IMREAD_GRAYSCALE)[y:y + h, x:x + w]


def photo():
    """A piece of a photographed slip, flattened."""
    a = keep8("photo", cut("0104-photo-with-shadow", 90, 120, 300, 220))
    q = [[12.5, 9], [280, 20.25], [271.75, 205], [8, 198.5]]
    t, w, h = homography(q)
    back = np.array([[1, 0, -0.5], [0, 1, -0.5], [0, 0, 1]])
    m = back @ t.params @ np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]])
    f = skimage.transform.warp(a, m, output_shape=(round(h), round(w)), order=1, mode="edge", preserve_range=True)
    keep16("photo-flat", f)
    values["photo"] = {"quad": q}


def turns():
    """Turning a sheet about its middle, and its corners by quarters."""
    q = [[0, 0], [400, 0], [400, 300], [0, 300]]
    out = []
    for degrees in (-7, -2.5, -0.3, 0.4, 1, 6):
        m = cv2.getRotationMatrix2D((200, 150), -degrees, 1)  # its angles run against the clock
        p = [[10, 20], [200, 150], [390, 20], [333, 280]]
        out.append({"degrees": degrees, "flat": p, "seen": [(m @ [x, y, 1]).tolist() for x, y in p]})
    values["turns"] = {"quad": q, "by": out}


def ruled(degrees):
    """Lines of words that fall by degrees clockwise, bright on 0."""
    rng = np.random.RandomState(4)
    n, w, h = 3, 420, 330
    yy, xx = (np.mgrid[0:h * n, 0:w * n] + 0.5) / n
    t = math.radians(degrees)
    dx, dy = xx - w / 2, yy - h / 2
    u, v = math.cos(t) * dx + math.sin(t) * dy, -math.sin(t) * dx + math.cos(t) * dy
    a = np.zeros(xx.shape)
    for line in range(9):
        y, x = -120 + 30 * line, -170.0
        while x < 150:
            l = rng.uniform(15, 60)
            a += (abs(v - y) < 6) & (u > x) & (u < min(x + l, 170))
            x += l + rng.uniform(8, 20)
    return 200 * np.minimum(a, 1).reshape(h, n, w, n).mean((1, 3))


def fall(a, join):
    """By how many degrees lines fall, clockwise: how the rows of dark join up."""
    soft = ndi.gaussian_filter(a, (0.7, join))
    mask = (soft > skimage.filters.threshold_otsu(soft)).astype(np.uint8)
    found, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    angles = []
    for c in found:
        (_, _), (w, h), _ = cv2.minAreaRect(c)
        if max(w, h) < 0.3 * a.shape[1] or min(w, h) > 0.15 * a.shape[1]:
            continue
        inside = cv2.drawContours(np.zeros_like(mask), [c], 0, 1, -1)
        m = cv2.moments(np.where(inside > 0, a, 0))
        angles.append(math.degrees(0.5 * math.atan2(2 * m["mu11"], m["mu20"] - m["mu02"])))
    return float(np.median(angles))


def profile_peak(a, near):
    """The angle of the Radon transform whose profile is the roughest."""
    side = min(a.shape)
    y, x = (a.shape[0] - side) // 2, (a.shape[1] - side) // 2
    a = a[y:y + side, x:x + side]
    yy, xx = np.mgrid[0:side, 0:side] - (side - 1) / 2
    a = np.where(np.hypot(xx, yy) < side / 2 - 1, a, 0)
    angles = np.arange(near - 1, near + 1.001, 0.05)
    rough = (np.diff(skimage.transform.radon(a, theta=90 - angles, circle=True), axis=0) ** 2).sum(0)
    i = min(max(int(np.argmax(rough)), 1), len(angles) - 2)
    l, m, r = rough[i - 1:i + 2]  # the top of a parabola through three
    return float(angles[i] + 0.05 * 0.5 * (l - r) / (l - 2 * m + r))


def skews():
    out = []
    for degrees in (-7.3, -3.21, -1.04, -0.16, 0, 0.13, 0.55, 2.37, 5.9):
        name = f"ruled{degrees:+}"
        angle = fall(keep8(name, ruled(degrees)), 8)
        same(f"fall of {name}", angle, degrees, 0.1)
        out.append({"picture": name, "true": degrees, "reference": round(angle, 4)})
    for name, x, y, w, h in LINES:
        a = cut(name, x, y, w, h).astype(np.float64)
        short = "lines-" + name[:4]
        a = keep8(short, np.maximum(ndi.percentile_filter(a, 80, 41) - a - 8, 0))
        lines = json.loads((SET / f"{name}.truth.json").read_text())["lines"][0]
        true = float(np.median([math.degrees(math.atan2(q[1][1] - q[0][1], q[1][0] - q[0][0])) for q in (
            l["corners"] for l in lines if len(l["text"]) > 12)]))
        angle = profile_peak(a, round(true))
        same(f"fall of {short}", angle, true, 0.1)
        out.append({"picture": short, "true": round(true, 4), "reference": round(angle, 4)})
    values["skew"] = out


# Printed lines of scanned slips, for their fall: name, x, y, width, height.
LINES = (
    ("0001-tank-leak-test-march", 170, 270, 560, 420),
    ("0108-worn-scan", 200, 190, 420, 400),
    ("0112-ghost-scan", 110, 230, 420, 360),
)


# ---- ocr/ink ----

CAP = 20  # height of a capital on the drawn pages, pixels


def coverage():
    """How much of each pixel is inked on a drawn page of 380 x 280: 0 to 1."""
    n = 4
    big = np.zeros((280 * n, 380 * n), np.uint8)
    for i, text in enumerate(("TANK 3 LEAK TEST", "START 01:41 06-11", "VOLUME    7,342", "RATE     -0.028", "RESULT ... PASS", "HEIGHT 66.1 IN")):
        cv2.putText(big, text, (20 * n, (50 + 38 * i) * n), cv2.FONT_HERSHEY_SIMPLEX, 0.92 * n, 255, 3 * n, cv2.LINE_AA)
    return big.reshape(280, n, 380, n).mean((1, 3)) / 255


def ground(kind):
    """Bare paper of a drawn page in levels."""
    yy, xx = np.mgrid[0:280, 0:380]
    a = 205 + 25 * xx / 380 - 30 * yy / 280
    if kind == "shadow":
        a = a * (1 - 0.35 / (1 + np.exp(-(xx + 0.6 * yy - 330) / 12)))
    return a


def local_paper(a, ink, reach):
    """The mean of what is no ink, near things counting most."""
    bare = (cv2.dilate(ink, np.ones((5, 5), np.uint8)) == 0).astype(np.float64)
    return cv2.GaussianBlur(a * bare, (0, 0), reach) / np.maximum(cv2.GaussianBlur(bare, (0, 0), reach), 1e-6)


def inked(a, cap):
    """Ink by local paper and Otsu's threshold, once roughly and once well."""
    soft = cv2.GaussianBlur(a, (0, 0), 0.6)
    paper = cv2.GaussianBlur(ndi.percentile_filter(soft, 75, 2 * cap + 1), (0, 0), cap / 2)
    for _ in range(2):
        share = soft / paper
        ink = (share < skimage.filters.threshold_otsu(share)).astype(np.uint8)
        paper = local_paper(a, ink, cap / 2)
    return ink, paper


def soft(a, sigma):
    return ndi.gaussian_filter(a, sigma, mode="nearest", truncate=8)


def settled(d, em):
    """Density with bare paper at 0, its noise and the level of print: each place has one vote."""
    low, mid = np.quantile(d, 0.1), np.quantile(d, 0.5)
    noise, d = max((mid - low) / 1.28, 0.002), d - mid
    side = int(1.5 * em)
    edge = side if min(d.shape) >= 6 * side else 0
    strong = np.array([np.quantile(d[y:min(y + side, d.shape[0]), x:x + side], 0.96)
                       for y in range(edge, d.shape[0] - edge - side // 2, side)
                       for x in range(edge, d.shape[1] - edge - side // 2, side)])
    printed = strong[strong > max(3.5 * noise, 0.35 * np.quantile(strong, 0.9))]
    return d, noise, np.median(printed)


def as_read(a, cap):
    """Ink as the reader cuts it: its steps and its parameters, by the libraries' filters.

    What takes stains off is left out: there are none on these pages.
    """
    em = 1.4 * cap
    if not 16 <= em < 32:
        sys.exit(f"capitals of {cap}: the paper would be looked for at another scale")
    r, bar = int(0.42 * em + 0.5), int(1.15 * em + 0.5)
    near = cv2.morphologyEx(soft(a, 0.8), cv2.MORPH_CLOSE, np.ones((2 * r + 1, 2 * r + 1)))
    far = cv2.morphologyEx(near, cv2.MORPH_CLOSE, np.ones((2 * bar + 1, 1)))
    near = np.where(near < 0.6 * far, far, near)
    wide, fine = soft(near, 0.35 * em), soft(near, 0.1 * em)
    paper = wide + np.clip(abs(fine - wide) / (0.06 * np.maximum(wide, 1)) - 1, 0, 1) * (fine - wide)
    d, noise, level = settled(np.log(paper + 6) - np.log(a + 6), em)
    if noise / level > 0.05:
        d, noise, level = settled(soft(d, 0.03 * em * min(noise / level / 0.05, 2)), em)
    f = int(em / 8)
    h, w = d.shape
    small = cv2.resize(soft(d, 0.04 * em)[:h // f * f, :w // f * f], (w // f, h // f), interpolation=cv2.INTER_AREA)
    peak = cv2.dilate(small, np.ones((2 * int(em / f) + 1, 2 * int(1.5 * em / f) + 1)))
    peak = cv2.resize(soft(peak, (1.2 * em / f, 2 * em / f)), (w, h), interpolation=cv2.INTER_LINEAR)
    least = max(0.42 * level, 5.5 * noise)
    return (d - 1.5 * noise) / (np.maximum(0.9 * peak, least) - 1.5 * noise) > MARKS


MARKS = 0.45  # from which evened print is a mark of a letter


def ink():
    drawn = coverage()
    keep8("ink", 255 * drawn)
    values["ink"] = []
    for name, kind, contrast, noise in (
        ("fresh", "even", 0.85, 1), ("shadow", "shadow", 0.85, 1.5), ("faded", "even", 0.4, 1), ("ghost", "shadow", 0.18, 1)):
        rng = np.random.RandomState(5)
        bare = ground(kind)
        a = keep8("page-" + name, bare * (1 - contrast * drawn) + rng.normal(0, noise, bare.shape))
        mask, local = inked(a, CAP)
        if np.mean(mask == (drawn > 0.5)) < 0.99 or np.mean(abs(local / bare - 1) < 0.03) < 0.98:
            sys.exit(f"page {name}: the reference does not find the ink or the paper that was drawn")
        keep8("mask-" + name, 255 * mask)
        keep8("local-" + name, local)
        keep8("bare-" + name, bare)
        keep8("read-" + name, 255 * as_read(a, CAP))
        values["ink"].append({"picture": name, "cap": CAP, "drawn": True})
    for name, x, y, w, h in PRINT:
        a = keep8("page-" + name[:4], cut(name, x, y, w, h))
        mask, local = inked(a, 22)
        keep8("mask-" + name[:4], 255 * mask)
        keep8("local-" + name[:4], local)
        keep8("read-" + name[:4], 255 * as_read(a, 22))
        values["ink"].append({"picture": name[:4], "cap": 22, "drawn": False})


# Print on the kept pictures whose capitals are about 22 pixels high: name, x, y,
# width, height.
PRINT = (
    ("0104-photo-with-shadow", 90, 120, 300, 220),
    ("0108-worn-scan", 240, 220, 300, 220),
    ("0111-faded-photo-on-dark", 125, 220, 300, 220),
    ("0112-ghost-scan", 130, 260, 300, 220),
)


def versions():
    return {"opencv": cv2.__version__, "scikit-image": skimage.__version__, "scipy": scipy.__version__, "numpy": np.__version__}


def write(folder):
    folder.mkdir(exist_ok=True)
    for old in folder.iterdir():
        old.unlink()
    for name, picture in pictures.items():
        cv2.imwrite(str(folder / f"{name}.png"), picture, [cv2.IMWRITE_PNG_COMPRESSION, 9])
    (folder / "values.json").write_text(json.dumps(values, indent=1) + "\n")


def differs(what, a, b):
    """Where two trees of values differ by more than rounding, or None."""
    if isinstance(a, dict) and isinstance(b, dict) and a.keys() == b.keys():
        pairs = [(f"{what}.{k}", a[k], b[k]) for k in a]
    elif isinstance(a, list) and isinstance(b, list) and len(a) == len(b):
        pairs = [(f"{what}[{i}]", x, y) for i, (x, y) in enumerate(zip(a, b))]
    elif isinstance(a, (int, float)) and isinstance(b, (int, float)) and not isinstance(a, bool):
        return None if abs(a - b) <= 1e-3 else f"{what} was {a}, is {b}"
    else:
        return None if a == b else f"{what} was {a}, is {b}"
    return next((d for d in (differs(*p) for p in pairs) if d), None)


def check(folder):
    """What differs from the kept reference.

    Processors round sums differently: one step of 16 bits, or one pixel in a
    thousand of 8 bits, may be another.
    """
    kept = json.loads((folder / "values.json").read_text())
    found = [differs("values", kept, json.loads(json.dumps(values)))]
    if {p.stem for p in folder.glob("*.png")} != set(pictures):
        found.append(f"pictures kept are {sorted(p.stem for p in folder.glob('*.png'))}, made were {sorted(pictures)}")
    for name, picture in pictures.items():
        old = cv2.imread(str(folder / f"{name}.png"), cv2.IMREAD_UNCHANGED)
        if old is None or old.shape != picture.shape or old.dtype != picture.dtype:
            found.append(f"{name}.png has another form")
            continue
        apart = np.abs(old.astype(int) - picture.astype(int))
        if old.dtype == np.uint16 and apart.max() > 1 or old.dtype == np.uint8 and np.mean(apart > 0) > 1e-3:
            found.append(f"{name}.png differs")
    return [f for f in found if f]


def main():
    a = chart()
    filters(a)
    resampling(a)
    homographies()
    marks()
    photo()
    turns()
    skews()
    ink()
    values["made_with"] = versions()
    folder = HERE / "testdata"
    if sys.argv[1:] == []:
        return write(folder)
    if sys.argv[1:] != ["-check"]:
        sys.exit("usage: reference.py [-check]")
    found = check(folder)
    if found:
        sys.exit("\n".join(found) + f"\n{folder} is not what {values['made_with']} make: find out why, then run without -check")
    print(f"{len(pictures)} pictures and the values of {folder} made again with {values['made_with']}: the same")


main()
