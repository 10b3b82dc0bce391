"""Draws small made-up photos of slips on grounds of every sort, and where the paper is.

    python3 draw.py --pictures 7000 --seed 1 --out pictures.npz

Each picture is SIDE pixels along its longer side, three colours and a mask: 1 where
the nearest thing before the lens is a slip. Nothing here is drawn as package fixtures
draws it: grounds are mixed from noise, weaves, pieces, leaves of paper and things at
random, so that what is learned is paper rather than some table. Needs python3-numpy and
python3-pil of Debian.
"""
import argparse
import numpy as np
from PIL import Image, ImageDraw, ImageFilter

SIDE, FINE = 192, 2
SHAPES = [(192, 144), (144, 192), (192, 108), (108, 192), (192, 192)]


class Draw:
    def __init__(self, seed):
        self.r = np.random.default_rng(seed)

    def u(self, a, b):
        return float(self.r.uniform(a, b))

    def chance(self, p):
        return self.r.random() < p

    # fields of numbers

    def noise(self, w, h, cell, octaves=3, stretch=1.0, turn=0.0):
        """Smooth noise, mean 0 and spread about 1; cell is its size in pixels."""
        if turn == 0.0:
            return self._noise(w, h, cell, octaves, stretch)
        d = int(np.hypot(w, h)) + 4
        im = Image.fromarray(self._noise(d, d, cell, octaves, stretch)).rotate(np.degrees(turn), Image.BILINEAR)
        a = np.asarray(im)
        y, x = (d - h) // 2, (d - w) // 2
        return a[y:y + h, x:x + w]

    def _noise(self, w, h, cell, octaves, stretch):
        out = np.zeros((h, w), np.float32)
        size = 1.0
        for _ in range(octaves):
            cw, ch = max(cell * stretch, 1.0), max(cell, 1.0)
            n = self.r.standard_normal((max(int(h / ch) + 2, 2), max(int(w / cw) + 2, 2))).astype(np.float32)
            out += size * np.asarray(Image.fromarray(n).resize((w, h), Image.BICUBIC))
            cell, size = cell / 2, size * self.u(0.4, 0.8)
        s = out.std()
        return (out - out.mean()) / (s if s > 1e-6 else 1)

    def colour(self, lo=0.02, hi=0.95):
        """A colour in linear light, mostly dull."""
        v = self.u(lo ** 0.5, hi ** 0.5) ** 2
        c = np.full(3, v) * np.exp(self.r.standard_normal(3) * (0.08 if self.chance(0.5) else 0.35))
        return np.clip(c, 0.004, 0.97)

    def near(self, c, by):
        return np.clip(c * np.exp(self.r.standard_normal() * by) * np.exp(self.r.standard_normal(3) * by * 0.2), 0.004, 0.97)

    def mix(self, t, a, b):
        return a + (b - a) * t[..., None]

    # grounds

    def ground(self, w, h, deep=0):
        kinds = [self.flat, self.grain, self.flecks, self.checks, self.weave, self.pieces, self.stones,
                 self.leaves, self.keys, self.steps, self.strewn]
        k = kinds[self.r.integers(len(kinds))]
        g = k(w, h)
        if deep == 0 and self.chance(0.2):  # two grounds meet
            other = self.ground(w, h, 1)
            y, x = np.mgrid[0:h, 0:w]
            a = self.u(0, 2 * np.pi)
            m = (x - self.u(0.1, 0.9) * w) * np.cos(a) + (y - self.u(0.1, 0.9) * h) * np.sin(a) > 0
            g = np.where(m[..., None], g, other)
            if self.chance(0.5):
                d = np.abs((x - w / 2) * np.cos(a) + (y - h / 2) * np.sin(a))
                g = g * np.where(m & (d < self.u(2, 12)), self.u(0.4, 1), 1)[..., None]
        return g

    def lid(self, w, h):
        """The lid of a scanner: white, grey or black, hardly anything on it."""
        v = self.u(0.55, 0.95) if self.chance(0.7) else self.u(0.01, 0.3)
        g = np.full((h, w, 3), v) * np.exp(self.r.standard_normal(3) * 0.02)
        if self.chance(0.5):
            g = g * (1 + self.u(0, 0.03) * self.noise(w, h, self.u(20, 200), 2))[..., None]
        return g

    def flat(self, w, h):
        c = self.colour()
        return c * (1 + self.u(0, 0.06) * self.noise(w, h, self.u(1, 60), 3))[..., None]

    def grain(self, w, h):
        """Wood, brushed metal, fabric: noise that is long one way."""
        a, b = self.colour(), self.colour()
        if self.chance(0.7):
            b = self.near(a, 0.5)
        t = self.noise(w, h, self.u(1, 12), 4, self.u(4, 60), self.u(0, np.pi))
        t = 1 / (1 + np.exp(-t * self.u(0.5, 4)))
        if self.chance(0.3):  # rings
            t = 0.5 + 0.5 * np.sin(self.noise(w, h, self.u(20, 80), 3, self.u(1, 6), self.u(0, np.pi)) * self.u(4, 20))
        g = self.mix(t, a, b)
        if self.chance(0.3):  # boards
            g *= (1 - self.u(0.2, 0.8) * self.lines(w, h, self.u(20, 120), self.u(1, 3)))[..., None]
        return g

    def flecks(self, w, h):
        a = self.colour()
        g = np.broadcast_to(a, (h, w, 3)).copy()
        for _ in range(self.r.integers(1, 5)):
            b = self.colour() if self.chance(0.5) else self.near(a, 0.6)
            t = self.noise(w, h, self.u(1, 10), self.r.integers(1, 4))
            cut = self.u(0, 2.2)
            t = 1 / (1 + np.exp(-(t - cut) * self.u(2, 12)))
            g = self.mix(t, g, b)
        return g

    def lines(self, w, h, step, width, turn=None):
        y, x = np.mgrid[0:h, 0:w]
        a = self.u(0, np.pi) if turn is None else turn
        d = (x * np.cos(a) + y * np.sin(a) + self.u(0, step)) % step
        return np.clip(width - np.abs(d - step / 2), 0, 1)

    def checks(self, w, h):
        y, x = np.mgrid[0:h, 0:w]
        a, step = self.u(0, np.pi), self.u(6, 60)
        p, q = (x * np.cos(a) + y * np.sin(a)) / step, (y * np.cos(a) - x * np.sin(a)) / step * self.u(0.7, 1.4)
        f = lambda v: (np.sin(v * np.pi) > self.u(-0.6, 0.6)).astype(np.float32)
        c, d = self.colour(), self.colour()
        m, n = f(p), f(q)
        how = self.r.integers(4)
        t = [(m + n) / 2, np.abs(m - n), m, np.maximum(m, n)][how]
        g = self.mix(t, c, d)
        return g * (1 + self.u(0, 0.15) * self.noise(w, h, self.u(1, 4), 2))[..., None]

    def weave(self, w, h):
        y, x = np.mgrid[0:h, 0:w]
        a, step = self.u(0, np.pi), self.u(2, 9)
        p, q = (x * np.cos(a) + y * np.sin(a)) / step, (y * np.cos(a) - x * np.sin(a)) / step
        t = 0.5 + 0.25 * (np.sin(p * 2 * np.pi) + np.sin(q * 2 * np.pi))
        if self.chance(0.5):
            t = np.abs(np.sin(p * np.pi) * np.sin(q * np.pi))
        g = self.mix(t.astype(np.float32), self.colour(), self.colour(0.02, 0.6))
        return g * (1 + self.u(0, 0.5) * self.noise(w, h, self.u(1, 30), 3))[..., None]

    def pieces(self, w, h):
        """Tiles, bricks, pavers: rectangles, each a shade of its own, with joints."""
        y, x = np.mgrid[0:h, 0:w]
        a, sw = self.u(0, np.pi), self.u(12, 110)
        sh = sw * self.u(0.3, 1)
        p, q = (x * np.cos(a) + y * np.sin(a)) / sw + 50, (y * np.cos(a) - x * np.sin(a)) / sh + 90
        if self.chance(0.5):
            p = p + 0.5 * (np.floor(q) % 2)
        i, k = np.floor(p).astype(int) % 37, np.floor(q).astype(int) % 41
        tone = np.exp(self.r.standard_normal((37, 41)) * self.u(0, 0.4))[i, k]
        c = self.colour()
        g = c * tone[..., None]
        g = g * (1 + self.u(0, 0.2) * self.noise(w, h, self.u(1, 30), 3))[..., None]
        e = np.minimum(np.minimum(p % 1, 1 - p % 1) * sw, np.minimum(q % 1, 1 - q % 1) * sh)
        return self.mix((e < self.u(0.5, 4)).astype(np.float32), g, self.colour())

    def stones(self, w, h):
        """Gravel, terrazzo, leaves: cells around points."""
        n = int(self.u(20, 400))
        pts = self.r.random((n, 2)) * [w + 40, h + 40] - 20
        y, x = np.mgrid[0:h:2, 0:w:2]
        d = np.hypot(x[..., None] - pts[:, 0], (y[..., None] - pts[:, 1]) * self.u(0.6, 1.6)).astype(np.float32)
        near = np.partition(d, 1, axis=2)[..., :2]
        who = d.argmin(2)
        c = self.colour()
        tone = np.exp(self.r.standard_normal(n) * self.u(0.1, 0.7))[who]
        edge = np.clip((near[..., 1] - near[..., 0]) / self.u(1, 8), 0, 1)
        g = c * (tone * (self.u(0.05, 0.9) + edge) / 1.5)[..., None]
        g = np.stack([np.asarray(Image.fromarray(g[..., i].astype(np.float32)).resize((w, h), Image.BILINEAR)) for i in range(3)], 2)
        return g

    def leaves(self, w, h):
        """Forms, newspapers, books, notes: paper with print that is no slip."""
        g = self.ground(w, h, 1) if self.chance(0.5) else np.broadcast_to(self.colour(), (h, w, 3)).copy()
        im = np.clip(g, 0, 1)
        for _ in range(self.r.integers(1, 4)):
            lw, lh = self.u(0.5, 1.6) * max(w, h), self.u(0.7, 1.8) * max(w, h)
            c = self.colour(0.3, 0.9)
            page = self.page(int(lw), int(lh), c)
            im = self.paste(im, page, self.u(0, w), self.u(0, h), self.u(0, 2 * np.pi))
        return im

    def page(self, w, h, c):
        im = Image.new("L", (w, h), 255)
        d = ImageDraw.Draw(im)
        columns, gap = int(self.r.integers(1, 6)), self.u(4, 14)
        cw = (w - gap) / columns
        pitch = self.u(2.5, 9)
        dark = int(self.u(0, 180))
        for k in range(columns):
            x0, y = gap + k * cw, self.u(5, 30)
            while y < h - 8:
                r = self.r.random()
                if r < 0.03:
                    bh = self.u(8, 60)
                    d.rectangle([x0, y, x0 + cw - gap, y + bh], fill=int(self.u(60, 230)))
                    y += bh + pitch
                elif r < 0.08:
                    big = pitch * self.u(1.5, 5)
                    self.words(d, x0, y, cw - gap, big, dark)
                    y += big * 1.3
                elif r < 0.15:
                    y += pitch * self.u(1, 3)
                else:
                    self.words(d, x0, y, cw - gap if self.chance(0.85) else (cw - gap) * self.u(0.2, 1), pitch * 0.6, dark)
                    y += pitch
        if self.chance(0.4):  # ruled
            step = self.u(6, 40)
            for y in np.arange(self.u(0, step), h, step):
                d.line([0, y, w, y], fill=int(self.u(90, 220)))
            if self.chance(0.6):
                for x in np.arange(self.u(0, step), w, step * self.u(1, 5)):
                    d.line([x, 0, x, h], fill=int(self.u(90, 220)))
        t = np.asarray(im, np.float32)[..., None] / 255
        return c * t

    def words(self, d, x, y, width, size, dark):
        end = x + width
        while x < end:
            n = self.u(1, 7) * size * 0.6
            if size > 5:  # letters can be told apart
                k = x
                while k < min(x + n, end):
                    cw = size * 0.45
                    if self.chance(0.5):
                        d.rectangle([k, y, k + max(cw * 0.35, 1), y + size], fill=dark)
                    if self.chance(0.6):
                        d.line([k, y + self.u(0, 1) * size, k + cw, y + self.u(0, 1) * size], fill=dark, width=max(int(size / 7), 1))
                    k += size * 0.62
            else:
                d.rectangle([x, y, min(x + n, end), y + size * 0.75], fill=min(dark + int(self.u(20, 90)), 235))
            x += n + size * self.u(0.4, 0.9)

    def paste(self, im, page, cx, cy, turn):
        h, w = im.shape[:2]
        y, x = np.mgrid[0:h, 0:w]
        c, s = np.cos(turn), np.sin(turn)
        ph, pw = page.shape[:2]
        u, v = (x - cx) * c + (y - cy) * s + pw / 2, (y - cy) * c - (x - cx) * s + ph / 2
        ok = (u >= 0) & (u < pw) & (v >= 0) & (v < ph)
        out = im.copy()
        if self.chance(0.7):
            shade = (u > -4) & (u < pw + 6) & (v > -4) & (v < ph + 6) & ~ok
            out[shade] *= self.u(0.5, 0.95)
        out[ok] = page[v[ok].astype(int), u[ok].astype(int)]
        return out

    def keys(self, w, h):
        """Rows of caps with a sign on each: keyboards, pads, crates, windows."""
        d = int(np.hypot(w, h)) + 8
        im = Image.new("L", (d, d), 0)
        dr = ImageDraw.Draw(im)
        s = self.u(14, 60)
        gap = s * self.u(0.05, 0.3)
        sign = int(self.u(0, 255))
        for j, y in enumerate(np.arange(0, d, s * self.u(0.8, 1.1))):
            x = -self.u(0, s)
            while x < d:
                kw = s * (1 if self.chance(0.85) else self.u(1.2, 4))
                dr.rounded_rectangle([x + gap / 2, y + gap / 2, x + kw - gap / 2, y + s - gap / 2], s * self.u(0, 0.2), fill=int(self.u(170, 200)))
                if self.chance(0.8):
                    dr.line([x + kw * 0.3, y + s * 0.3, x + kw * self.u(0.3, 0.6), y + s * self.u(0.3, 0.7)], fill=sign, width=max(int(s / 12), 1))
                x += kw
        im = im.rotate(self.u(0, 360), Image.BILINEAR).crop(((d - w) // 2, (d - h) // 2, (d - w) // 2 + w, (d - h) // 2 + h))
        t = np.asarray(im, np.float32) / 255
        a, b = self.colour(0.01, 0.4), self.colour()
        return self.mix(t, a, b)

    def steps(self, w, h):
        """Large plain areas side by side: a counter's edge, a floor, a car's seat."""
        g = np.broadcast_to(self.colour(), (h, w, 3)).copy()
        y, x = np.mgrid[0:h, 0:w]
        for _ in range(self.r.integers(1, 6)):
            a = self.u(0, 2 * np.pi)
            bow = self.u(-0.004, 0.004)
            p = (x - self.u(0, w)) * np.cos(a) + (y - self.u(0, h)) * np.sin(a)
            q = (y - h / 2) * np.cos(a) - (x - w / 2) * np.sin(a)
            m = p + bow * q * q > 0
            g[m] = self.colour() * (1 + 0.05 * self.noise(w, h, self.u(1, 30)))[m][..., None]
        return g

    def strewn(self, w, h):
        """Things that lie about."""
        g = self.ground(w, h, 1).copy()
        return self.things(g, self.r.integers(2, 14))

    def things(self, g, n, keep=None):
        h, w = g.shape[:2]
        for _ in range(n):
            im = Image.new("L", (w, h), 0)
            d = ImageDraw.Draw(im)
            x, y, s = self.u(0, w), self.u(0, h), self.u(4, 0.4 * max(w, h))
            how = self.r.integers(4)
            if how == 0:
                d.ellipse([x - s / 2, y - s * self.u(0.2, 0.5), x + s / 2, y + s * 0.5], fill=255)
            elif how == 1:
                a = self.u(0, 2 * np.pi)
                d.line([x - s * np.cos(a), y - s * np.sin(a), x + s * np.cos(a), y + s * np.sin(a)], fill=255, width=int(self.u(2, 16)))
            elif how == 2:
                a, q = self.u(0, np.pi), s * self.u(0.2, 1)
                c, e = np.cos(a), np.sin(a)
                d.polygon([(x + u * c - v * e, y + u * e + v * c) for u, v in ((-s / 2, -q / 2), (s / 2, -q / 2), (s / 2, q / 2), (-s / 2, q / 2))], fill=255)
            else:
                pts = [(x + s * self.u(-0.6, 0.6), y + s * self.u(-0.6, 0.6)) for _ in range(6)]
                d.polygon(pts, fill=255)
            if self.chance(0.5):
                im = im.filter(ImageFilter.GaussianBlur(self.u(0.3, 2)))
            t = np.asarray(im, np.float32) / 255
            tone = 1 + self.u(0, 0.4) * self.noise(w, h, self.u(2, 40), 2)
            g = g * (1 - t * 1)[..., None] + (t * tone)[..., None] * self.colour()
            if keep is not None:
                keep *= 1 - t
        return g

    # slips

    def sheet(self, w, h, light):
        """The face of a slip, w by h pixels."""
        base = np.array([0.80, 0.79, 0.74]) * light
        how = self.r.random()
        if how < 0.25:
            base = base * np.array([1, self.u(0.86, 1), self.u(0.55, 0.95)])
        elif how < 0.35:
            base = base * np.exp(self.r.standard_normal(3) * 0.07)
        p = np.full((h, w), 1.0, np.float32)
        im = Image.new("L", (w, h), 255)
        d = ImageDraw.Draw(im)
        columns = self.u(20, 50)
        size = w / columns * self.u(1.2, 2.0)
        pitch = size * self.u(1.1, 1.7)
        margin = w * self.u(0.02, 0.14)
        y = pitch * self.u(0.3, 4)
        end = h - pitch * self.u(0.5, 5 if self.chance(0.8) else 20)
        dark = 0
        style = self.r.integers(4)
        while y < end:
            r = self.r.random()
            wide = w - 2 * margin
            if r < 0.1:
                y += pitch
                continue
            if r < 0.2:
                if self.chance(0.5):
                    d.line([margin, y + size / 2, w - margin, y + size / 2], fill=dark)
                else:
                    for x in np.arange(margin, w - margin, size * 0.6):
                        d.line([x, y + size / 2, x + size * 0.4, y + size / 2], fill=dark)
            elif r < 0.23:
                d.rectangle([margin, y, w - margin, y + size], fill=dark)
            elif r < 0.3:
                self.words(d, margin + wide * self.u(0, 0.4), y, wide * self.u(0.3, 0.6), size * self.u(1, 1.8), dark)
                y += pitch * 0.6
            elif style == 0 or r < 0.5:
                self.words(d, margin, y, wide * self.u(0.3, 1), size, dark)
            elif style == 1:
                self.words(d, margin, y, wide * self.u(0.2, 0.5), size, dark)
                self.words(d, margin + wide * 0.7, y, wide * self.u(0.1, 0.3), size, dark)
            else:
                for k in range(3 + style):
                    self.words(d, margin + wide * k / (3 + style), y, wide * self.u(0.05, 0.2), size, dark)
            y += pitch
        t = np.asarray(im, np.float32) / 255
        ink = self.u(0.05, 0.95) if self.chance(0.6) else self.u(0.5, 0.95)
        p = 1 - (1 - t) * ink * np.clip(1 + self.u(0, 0.5) * self.noise(w, h, self.u(10, max(w, h)), 2), 0, 1.3)
        g = base * np.clip(p, 0.02, 1)[..., None]
        if self.chance(0.2):  # the stripe at the end of a roll
            x0 = self.u(0, w)
            x1 = x0 + self.u(0.05, 0.25) * w
            yy, xx = np.mgrid[0:h, 0:w]
            m = (xx > x0) & (xx < x1) if self.chance(0.8) else (yy > self.u(0, h)) & (yy < self.u(0, h))
            g[m] *= np.array([1, self.u(0.2, 0.8), self.u(0.3, 0.9)])
        for _ in range(self.r.integers(0, 4)):  # stains, strips of yellow, creases
            how = self.r.integers(4)
            if how == 0:
                t = 1 / (1 + np.exp(-(self.noise(w, h, self.u(10, 80), 3) - self.u(0.5, 2)) * 4))
                g = g * (1 - t[..., None] * np.array([0.1, 0.25, 0.5]) * self.u(0.2, 1.2)).clip(0.1, 1)
            elif how == 1:
                y0 = int(self.u(0, h))
                y1 = y0 + int(self.u(2, 0.5 * h))
                g[y0:y1] *= np.array([1, self.u(0.85, 1), self.u(0.6, 1)])
            elif how == 2:
                y0 = int(self.u(0, h - 1))
                g[y0:y0 + int(self.u(1, 3))] *= self.u(0.6, 1.25)
            else:
                g *= np.linspace(self.u(0.6, 1), self.u(0.9, 1.1), h)[:, None, None]
        return np.clip(g, 0.003, 1)

    def slip(self, im, mask, cx, cy, length, ratio, turn, light):
        """Lays one slip on the picture, seen a little from aside and bent."""
        H, W = mask.shape
        sw, sh = max(length / ratio, 6), length
        face = self.sheet(int(min(sw * 1.5, 400)), int(min(sh * 1.5, 900)), light)
        tilt = lambda: self.u(-0.35, 0.35) if self.chance(0.7) else 0.0
        px, py = tilt(), tilt()
        y, x = np.mgrid[0:H, 0:W].astype(np.float32)
        c, s = np.cos(turn), np.sin(turn)
        a, b = (x - cx) * c + (y - cy) * s, (y - cy) * c - (x - cx) * s
        z = 1 + px * a / max(sw, sh) + py * b / sh
        z = np.clip(z, 0.3, 3)
        u, v = a / sw * z + 0.5, b / sh * z + 0.5
        if self.chance(0.5):  # curl and waves
            k = self.u(-0.12, 0.12)
            u = u + k * (sh / sw) * 0.3 * (v - 0.5) ** 2 * 4 * (1 if self.chance(0.5) else 0)
            v = v + self.u(-0.05, 0.05) * (u - 0.5) ** 2 * 4 * sw / sh
            u = u + self.u(0, 0.02) * np.sin(v * self.u(2, 12) + self.u(0, 6))
        if self.chance(0.15):  # a shear
            u = u + self.u(-0.15, 0.15) * (v - 0.5)
        e0, e1 = 0.0, 1.0
        if self.chance(0.4):  # torn or cut with teeth
            wob = self.u(0.5, 3) / sh
            n = self.r.standard_normal(24)
            saw = np.interp(np.clip(u, 0, 1), np.linspace(0, 1, 24), n)
            if self.chance(0.5):
                saw = np.abs((u * self.u(8, 30)) % 1 - 0.5) * 3
            e0, e1 = (wob * saw, e1) if self.chance(0.5) else (e0, 1 - wob * saw)
        if self.chance(0.1):  # a corner gone or folded
            k, q = self.u(0.05, 0.3), self.r.integers(4)
            uu, vv = (u if q % 2 else 1 - u), (v if q < 2 else 1 - v) * sh / sw
            off = uu + vv < k
        else:
            off = np.zeros_like(u, bool)
        inside = (u >= 0) & (u < 1) & (v >= e0) & (v < e1) & ~off
        # its shadow
        if self.chance(0.85):
            m = Image.fromarray((inside * 255).astype(np.uint8))
            dx, dy, soft = self.u(-8, 8), self.u(-8, 8), self.u(0.7, 8)
            sh_ = np.asarray(m.rotate(0, translate=(int(dx), int(dy))).filter(ImageFilter.GaussianBlur(soft)), np.float32) / 255
            im *= (1 - sh_ * self.u(0.1, 0.7))[..., None]
        fh, fw = face.shape[:2]
        ui, vi = np.clip(u * fw, 0, fw - 1).astype(int), np.clip(v * fh, 0, fh - 1).astype(int)
        shade = 1 + self.u(0, 0.25) * np.sin(v * self.u(1, 7) + self.u(0, 6)) if self.chance(0.5) else 1.0
        lit = face[vi, ui] * (shade if np.isscalar(shade) else shade[..., None])
        im[inside] = lit[inside]
        mask[inside] = 1
        return inside

    def hand(self, im, mask):
        """Fingers over the rim: rounded strokes of skin from the picture's border."""
        H, W = mask.shape
        skin = np.array([0.62, 0.40, 0.30]) * self.u(0.15, 1.3)
        t = Image.new("L", (W, H), 0)
        d = ImageDraw.Draw(t)
        x, y = (self.u(0, W), H * self.r.integers(2)) if self.chance(0.5) else (W * self.r.integers(2), self.u(0, H))
        for _ in range(self.r.integers(1, 5)):
            a = np.arctan2(H / 2 - y, W / 2 - x) + self.u(-0.5, 0.5)
            n, r = self.u(0.15, 0.5) * max(W, H), self.u(6, 22)
            ex, ey = x + n * np.cos(a), y + n * np.sin(a)
            d.line([x, y, ex, ey], fill=255, width=int(2 * r))
            d.ellipse([ex - r, ey - r, ex + r, ey + r], fill=255)
            x, y = x + self.u(-40, 40), y + self.u(-40, 40)
        t = np.asarray(t.filter(ImageFilter.GaussianBlur(1)), np.float32) / 255
        tone = np.clip(1 + 0.2 * self.noise(W, H, 30, 2), 0.3, 2)
        im = im * (1 - t)[..., None] + skin * (t * tone)[..., None]
        mask *= t < 0.5
        return im

    def picture(self):
        w, h = SHAPES[self.r.integers(len(SHAPES))]
        W, H = w * FINE, h * FINE
        scan = self.chance(0.1)
        im = np.clip(self.lid(W, H) if scan else self.ground(W, H), 0.002, 1).astype(np.float64).copy()
        if not scan and self.chance(0.25):
            im = np.clip(self.things(im, self.r.integers(1, 6)), 0.002, 1)
        mask = np.zeros((H, W), np.float32)
        light = self.u(0.75, 1.15)
        r = self.r.random()
        turn = self.u(-0.35, 0.35) + np.pi / 2 * self.r.integers(4) if self.chance(0.85) else self.u(0, 2 * np.pi)
        if r < 0.03:
            pass  # no slip
        elif r < 0.80:
            ratio = np.exp(self.u(np.log(0.7), np.log(7)))
            along = H if abs(np.cos(turn)) > 0.7 else W
            length = along * (self.u(0.45, 0.97) if self.chance(0.8) else self.u(0.9, 1.6))
            across = W if along == H else H
            length = min(length, across * 1.4 * ratio)
            if length / ratio < 0.12 * min(W, H):
                ratio = length / (0.12 * min(W, H))
            self.slip(im, mask, W * self.u(0.4, 0.6), H * self.u(0.4, 0.6), length, ratio, turn, light)
        else:  # several, side by side
            n = self.r.integers(2, 5)
            for k in range(n):
                ratio = np.exp(self.u(np.log(1), np.log(5)))
                cx, cy = (W * (k + 0.5) / n, H * self.u(0.35, 0.65)) if W > H or self.chance(0.3) else (W * self.u(0.35, 0.65), H * (k + 0.5) / n)
                length = self.u(0.4, 0.8) * min(W, H)
                length = min(length, ratio * max(W, H) / n * self.u(0.6, 0.85)) if W > H else length
                self.slip(im, mask, cx, cy, max(length, 30), ratio, turn + self.u(-0.1, 0.1), light)
        if self.chance(0.12):
            im = self.hand(im, mask)
        if self.chance(0.1):  # a pen, a clip, a coin on top
            im = self.things(im, 1, mask)
        # light
        lamp = np.ones((H, W), np.float32)
        y, x = np.mgrid[0:H, 0:W]
        if scan:
            return self.sensed(im, mask, w, h)
        a = self.u(0, 2 * np.pi)
        lamp *= np.exp(self.u(0, 0.8) * ((x / W - 0.5) * np.cos(a) + (y / H - 0.5) * np.sin(a)))
        if self.chance(0.35):  # somebody's shadow
            m = Image.new("L", (W, H), 0)
            cx, cy = self.u(0, W), self.u(0, H)
            pts = [(cx + self.u(-1, 1) * W * 0.7, cy + self.u(-1, 1) * H * 0.7) for _ in range(self.r.integers(3, 8))]
            ImageDraw.Draw(m).polygon(pts, fill=255)
            t = np.asarray(m.filter(ImageFilter.GaussianBlur(self.u(2, 30))), np.float32) / 255
            lamp *= 1 - t * self.u(0.15, 0.7)
        if self.chance(0.2):  # a lamp's gleam
            d2 = ((x - self.u(0, W)) ** 2 + (y - self.u(0, H)) ** 2) / (self.u(0.1, 0.6) * max(W, H)) ** 2
            lamp *= 1 + self.u(0.1, 1.0) * np.exp(-d2)
        if self.chance(0.3):
            lamp *= 1 + self.u(0, 0.15) * self.noise(W, H, self.u(40, 200), 2)
        return self.sensed(im * np.clip(lamp, 0.05, 4)[..., None], mask, w, h)

    def sensed(self, im, mask, w, h):
        """What the sensor makes of it: the small picture and the mask."""
        im *= np.exp(self.r.standard_normal(3) * 0.08) * self.u(0.35, 1.25)
        im = np.clip(im, 0, 1) ** (1 / self.u(1.8, 2.4))
        pic = Image.fromarray((im * 255).astype(np.uint8))
        if self.chance(0.4):
            pic = pic.filter(ImageFilter.GaussianBlur(self.u(0.3, 2.5)))
        pic = pic.resize((w, h), Image.BOX)
        m = Image.fromarray((np.clip(mask, 0, 1) * 255).astype(np.uint8)).resize((w, h), Image.BOX)
        a = np.asarray(pic, np.float32)
        a = a + self.r.standard_normal(a.shape) * self.u(0, 6)
        if self.chance(0.3):
            a[:] = a.mean(2, keepdims=True)
        return np.concatenate([np.clip(a, 0, 255), np.asarray(m, np.float32)[..., None]], 2).astype(np.uint8)


def main():
    p = argparse.ArgumentParser()
    p.add_argument("--pictures", type=int, default=6000)
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--out", required=True)
    a = p.parse_args()
    out = [Draw([a.seed, i]).picture() for i in range(a.pictures)]
    np.savez(a.out, **{str(i): x for i, x in enumerate(out)})


if __name__ == "__main__":
    main()
