"""Draws small made-up scans of sheets that slips are taped to, and where each slip is.

    python3 sheets.py --pictures 2400 --seed 1 --out pictures.npz

Each picture is LONG pixels along its longer side, three colours and a mask: 1 within a
slip, 0 elsewhere and right at the sides of slips too, so that two slips that abut or
overlap are told apart. Most slips are nearly as white as the sheet: what tells them is a
thin line of shadow here and there along a side, and the print. Nothing here is drawn as
package fixtures draws it. Needs python3-numpy and python3-pil of Debian.
"""
import argparse

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

import draw

LONG, FINE, RING = 384, 2, 1.4  # RING is how many pixels within its side a slip's mask begins
SHAPES = [(297, 384), (297, 384), (272, 384), (272, 384), (384, 297), (384, 384), (220, 384), (320, 384)]


class Sheets(draw.Draw):
    def paper(self):
        """The sheet's or a slip's own colour in linear light."""
        c = np.full(3, self.u(0.7, 0.97))
        r = self.r.random()
        if r < 0.25:
            c = c * np.array([1, self.u(0.93, 1), self.u(0.8, 1)])
        elif r < 0.3:
            c = c * np.exp(self.r.standard_normal(3) * 0.06)
        return c

    def under(self, w, h):
        g = np.broadcast_to(self.paper(), (h, w, 3)).copy()
        if self.chance(0.6):
            g *= (1 + self.u(0, 0.02) * self.noise(w, h, self.u(2, 200), 3))[..., None]
        if self.chance(0.08):  # a form, a ruled or squared sheet
            step, shade = self.u(10, 60), self.u(0.75, 0.98)
            for y in np.arange(self.u(0, step), h, step):
                g[int(y):int(y) + 2] *= shade
            if self.chance(0.5):
                for x in np.arange(self.u(0, step), w, step * self.u(1, 4)):
                    g[:, int(x):int(x) + 2] *= shade
        if self.chance(0.1):  # darker all over: card, a folder
            g *= self.u(0.2, 0.9)
        return g

    def placed(self, W, H):
        """Middle, width, height and turn of each slip, as a clerk fills a sheet."""
        out = []
        if self.chance(0.08):
            n = 1
            w = W * self.u(0.25, 0.8)
            return [(W * self.u(0.35, 0.65), H * self.u(0.35, 0.65), w, min(w * np.exp(self.u(-0.4, 1.2)), H * 0.95), self.lean())]
        x = W * self.u(0.02, 0.16)
        same = W * self.u(0.2, 0.46) if self.chance(0.5) else None
        gaps = self.u(-6, 40)
        while x < W * 0.93:
            cw = same if same else W * self.u(0.18, 0.48)
            if x + cw > W * 1.0:
                break
            if self.chance(0.1):  # nothing in this column
                x += cw
                continue
            y = H * self.u(0.0, 0.12)
            while True:
                w = cw if self.chance(0.6) else cw * self.u(0.75, 1.05)
                h = w * np.exp(self.u(np.log(0.45), np.log(3)))
                turn = self.lean()
                if self.chance(0.1):
                    w, h = max(w, h), min(w, h)
                    w = min(w, cw * 1.15)
                if y + h > H * 0.99:
                    h = H * 0.97 - y
                    if h < 0.35 * w or self.chance(0.5):
                        break
                out.append((x + w / 2 + (self.u(-8, 8) if self.chance(0.4) else 0), y + h / 2, w, h, turn))
                y += h + (gaps if self.chance(0.5) else self.u(-10, 60))
                if self.chance(0.15):
                    break
                if self.chance(0.08):
                    y += H * self.u(0, 0.3)
            x += cw + (self.u(-4, 12) if self.chance(0.5) else self.u(0, 60))
            if self.chance(0.12):
                break
        if self.chance(0.3):
            self.r.shuffle(out)
        return out

    def lean(self):
        return np.radians(self.r.standard_normal() * (0.5 if self.chance(0.5) else 2.0))

    def lay(self, im, mask, cx, cy, w, h, turn, base):
        H, W = mask.shape
        pad = 10
        r = int(np.hypot(w, h) / 2) + pad
        x0, y0, x1, y1 = max(int(cx) - r, 0), max(int(cy) - r, 0), min(int(cx) + r, W), min(int(cy) + r, H)
        if x1 - x0 < 8 or y1 - y0 < 8:
            return
        y, x = np.mgrid[y0:y1, x0:x1].astype(np.float32)
        c, s = np.cos(turn), np.sin(turn)
        a, b = (x - cx) * c + (y - cy) * s, (y - cy) * c - (x - cx) * s
        if self.chance(0.3):  # bent a little
            a = a + self.u(-3, 3) * (b / h) ** 2 * 4
            b = b + self.u(-3, 3) * (a / w) ** 2 * 4
        if self.chance(0.25):  # torn or cut with teeth
            n = self.r.standard_normal(30) * self.u(0.3, 2)
            b = b + np.interp(a / w + 0.5, np.linspace(0, 1, 30), n)
        part = im[y0:y1, x0:x1]
        # how far within each side
        d = np.stack([a + w / 2, w / 2 - a, b + h / 2, h / 2 - b])
        into = d.min(0)
        inside = into >= 0
        # a shadow falls to one side, more or less of it
        if self.chance(0.6):
            dx, dy = self.r.standard_normal(2) * self.u(0.5, 4)
            soft = self.u(0.6, 4)
            far = np.stack([a + dx + w / 2, w / 2 - a - dx, b + dy + h / 2, h / 2 - b - dy]).min(0)
            part *= (1 - self.u(0.0, 0.25 if self.chance(0.4) else 0.07) / (1 + np.exp(np.minimum(-far / soft * 2, 50))))[..., None]
        # the face
        quarter = self.r.integers(4) if self.chance(0.4) else 0
        fw, fh = (w, h) if quarter % 2 == 0 else (h, w)
        face = self.sheet(max(int(fw), 8), max(int(fh), 8), 1.0) / np.array([0.80, 0.79, 0.74])
        face = np.rot90(face, quarter)
        face = face * base
        ui = np.clip((a / w + 0.5) * face.shape[1], 0, face.shape[1] - 1).astype(int)
        vi = np.clip((b / h + 0.5) * face.shape[0], 0, face.shape[0] - 1).astype(int)
        lit = face[vi, ui]
        if self.chance(0.3):  # folds across: lines that are no side
            for _ in range(self.r.integers(1, 3)):
                at, along = (b + h * self.u(-0.45, 0.45), h) if self.chance(0.7) else (a + w * self.u(-0.45, 0.45), w)
                k = self.u(0.5, 2)
                lit = lit * (1 - self.u(-0.08, 0.2) * np.exp(-(at / k) ** 2))[..., None]
                if self.chance(0.3):
                    lit = lit * np.where(at > 0, 1, self.u(0.93, 1.05))[..., None]
        part[inside] = lit[inside]
        # sides: each a thin line, dark or bright, or not seen at all
        deep = self.u(0.005, 0.12 if self.chance(0.3) else 0.04)
        for k in range(4):
            if self.chance(0.12):
                continue
            near = self.u(0.4, 1.6)
            v = deep * self.u(0.2, 1.5) * (1 if self.chance(0.85) else -0.7)
            at = d[k] + self.u(-1, 1)
            on = np.exp(-(at / near) ** 2) * (into > -3)
            if self.chance(0.3):  # seen along a piece only
                run = b if k < 2 else a
                long = h if k < 2 else w
                on = on * (1 / (1 + np.exp(-(run + long * self.u(-0.4, 0.4)) / 6 * (1 if self.chance(0.5) else -1))))
            part *= (1 - v * on)[..., None]
        m = mask[y0:y1, x0:x1]
        m[into >= -RING * FINE * 0.5] = 0
        m[into >= RING * FINE] = 1

    def tape(self, im, x, y, w, h, turn):
        H, W = im.shape[:2]
        yy, xx = np.mgrid[0:H, 0:W].astype(np.float32)
        c, s = np.cos(turn), np.sin(turn)
        a, b = (xx - x) * c + (yy - y) * s, (yy - y) * c - (xx - x) * s
        d = np.minimum(w / 2 - np.abs(a), h / 2 - np.abs(b))
        t = np.clip(d + 0.5, 0, 1)
        im *= (1 + t * self.u(-0.12, 0.04))[..., None] * np.array([1, 1, 1 - self.u(0, 0.1) * self.chance(0.4)])[None, None] ** t[..., None]
        im *= (1 - self.u(0, 0.1) * np.exp(-(d / self.u(0.5, 1.5)) ** 2))[..., None]

    def sheetful(self):
        w, h = SHAPES[self.r.integers(len(SHAPES))]
        W, H = w * FINE, h * FINE
        im = self.under(W, H).astype(np.float32)
        mask = np.zeros((H, W), np.float32)
        base = self.paper()
        white = self.chance(0.75)  # slips as white as the sheet
        own = im.mean((0, 1))
        holes = self.chance(0.6)
        places = self.placed(W, H)
        for cx, cy, sw, sh, turn in places:
            b = own * np.exp(self.r.standard_normal() * (0.012 if self.chance(0.5) else 0.05)) if white else self.paper()
            if self.chance(0.15):
                b = b * np.array([1, self.u(0.92, 1), self.u(0.75, 1)])
            self.lay(im, mask, cx, cy, sw, sh, turn, np.clip(b, 0, 1))
        for cx, cy, sw, sh, turn in places:
            if self.chance(0.5):
                for _ in range(self.r.integers(1, 4)):
                    k = self.r.integers(4)
                    ex, ey = cx + (k == 0) * sw / 2 - (k == 1) * sw / 2, cy + (k == 2) * sh / 2 - (k == 3) * sh / 2
                    ex, ey = ex + self.u(-0.5, 0.5) * sw * (k > 1), ey + self.u(-0.5, 0.5) * sh * (k < 2)
                    l, q = self.u(30, 130), self.u(18, 50)
                    self.tape(im, ex, ey, *((l, q) if self.chance(0.6) else (q, l)), self.lean() * 2)
        d = np.zeros((H, W), np.float32)
        if holes:
            pen = Image.new("L", (W, H), 0)
            p = ImageDraw.Draw(pen)
            n, side, r, off = self.r.integers(2, 6), self.r.integers(4), self.u(6, 13), self.u(14, 50)
            for k in range(n):
                t = (k + 0.5) / n + self.u(-0.01, 0.01)
                x, y = [(off, t * H), (W - off, t * H), (t * W, off), (t * W, H - off)][side]
                p.ellipse([x - r, y - r, x + r, y + r], fill=255)
            t = np.asarray(pen.filter(ImageFilter.GaussianBlur(0.7)), np.float32)[..., None] / 255
            v = self.u(0.9, 1) if self.chance(0.6) else self.u(0.02, 0.8)
            im = im * (1 - t) + v * t
            rim = np.asarray(pen.filter(ImageFilter.GaussianBlur(1.5)), np.float32)[..., None] / 255
            im *= 1 - self.u(0, 0.5) * rim * (1 - rim) * 4 * self.chance(0.6)
        if self.chance(0.35):  # notes by hand
            pen = Image.new("L", (W, H), 0)
            p = ImageDraw.Draw(pen)
            for _ in range(self.r.integers(1, 5)):
                x, y, s = self.u(0, W), self.u(0, H), self.u(3, 14)
                pts = []
                for k in range(self.r.integers(8, 50)):
                    x += s * self.u(-0.2, 0.7)
                    pts.append((x, y + s * self.r.standard_normal() * 0.6))
                p.line(pts, fill=255, width=int(self.u(1, 4)))
            t = np.asarray(pen.filter(ImageFilter.GaussianBlur(0.5)), np.float32)[..., None] / 255
            im = im * (1 - t * self.u(0.3, 1) * (1 - self.colour(0.01, 0.4)))
        for _ in range(self.r.integers(0, 4)):  # rings of cups, blots, smears
            x, y, r0, wd = self.u(0, W), self.u(0, H), self.u(15, 90), self.u(1, 6)
            yy, xx = np.mgrid[0:H, 0:W]
            rr = np.hypot(xx - x, yy - y)
            t = np.exp(-((rr - r0) / wd) ** 2) if self.chance(0.5) else 1 / (1 + np.exp((rr - r0 / 3) / wd))
            im *= 1 - t[..., None] * np.array([0.1, 0.2, 0.3]) * self.u(0, 1.2)
        if self.chance(0.2):  # the sheet ends within the picture
            v, k, n = (self.u(0.8, 1) if self.chance(0.6) else self.u(0.02, 0.4)), self.r.integers(4), int(self.u(2, 30))
            cut = [np.s_[:n], np.s_[-n:], np.s_[:, :n], np.s_[:, -n:]][k]
            im[cut], mask[cut] = v, 0
            if self.chance(0.6):
                line = [np.s_[n:n + 2], np.s_[-n - 2:-n], np.s_[:, n:n + 2], np.s_[:, -n - 2:-n]][k]
                im[line] *= self.u(0.6, 1)
        y, x = np.mgrid[0:H, 0:W]
        if self.chance(0.6):
            a = self.u(0, 2 * np.pi)
            im *= np.exp(self.u(0, 0.12) * ((x / W - 0.5) * np.cos(a) + (y / H - 0.5) * np.sin(a)))[..., None]
        if self.chance(0.25):
            im *= (1 + self.u(0, 0.04) * self.noise(W, H, self.u(40, 300), 2))[..., None]
        return self.scanned(im, mask, w, h)

    def scanned(self, im, mask, w, h):
        im = np.clip(im * self.u(0.8, 1.1) * np.exp(self.r.standard_normal(3) * 0.02), 0, 1) ** (1 / self.u(1.8, 2.4)) * 255
        im = im + self.r.standard_normal(im.shape[:2])[..., None] * self.u(0, 5)
        small = np.stack([np.asarray(Image.fromarray(im[..., k].astype(np.float32)).resize((w, h), Image.BOX)) for k in range(3)], 2)
        if self.chance(0.3):
            small[:] = small.mean(2, keepdims=True)
        m = np.asarray(Image.fromarray(mask * 255).resize((w, h), Image.BOX), np.float32)
        # Faint steps are less than one level of 255: four times as fine.
        return np.concatenate([np.clip(small * 4, 0, 1020), m[..., None]], 2).astype(np.uint16)

    def other(self):
        """A slip on some ground: there too paper is paper, and its sides are told."""
        pic = self.picture()
        m = Image.fromarray(pic[..., 3])
        e = np.asarray(m.filter(ImageFilter.MinFilter(3)), np.float32)
        big = lambda a: np.asarray(Image.fromarray(a).resize((pic.shape[1] * 2, pic.shape[0] * 2), Image.BILINEAR), np.float32)
        out = [big(pic[..., k].astype(np.float32)) * 4 for k in range(3)] + [big(e)]
        return np.stack(out, 2).clip(0, 1020).astype(np.uint16)


def main():
    p = argparse.ArgumentParser()
    p.add_argument("--pictures", type=int, default=2400)
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--out", required=True)
    a = p.parse_args()
    out = []
    for i in range(a.pictures):
        d = Sheets([a.seed, i])
        out.append(d.other() if d.chance(0.1) else d.sheetful())
    np.savez(a.out, **{str(i): x for i, x in enumerate(out)})


if __name__ == "__main__":
    main()
