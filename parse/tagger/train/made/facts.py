"""Random records of a random site, with values that fit together."""
import datetime

KINDS = ["tank_test", "line_test", "line_summary", "sensor_status", "alarm", "inventory", "delivery", "tank_limits", "reconciliation"]

# The fields of a kind: how often a console prints each.
FIELDS = {
    "tank_test": dict(tank=.95, product=.7, test_rate=.75, method=.4, started_at=.7, ended_at=.75, duration=.4, start_volume=.4,
                      end_volume=.35, percent_full=.35, leak_rate=.75, threshold=.4, height=.3, water_height=.3, temperature=.3, result=.95),
    "line_test": dict(line=.95, product=.65, test_rate=.8, started_at=.4, ended_at=.85, pressure=.5, leak_rate=.6, result=.95),
    "line_summary": dict(line=.98, product=.6, test_class=.85, passes_24h=.75, passes_since_midnight=.6, first_pass_of_month=.6, last_pass_at=.7, earlier=.08),
    "sensor_status": dict(sensor=.95, location=.75, state=1, at=.4),
    "alarm": dict(at=.97, device=.9, device_number=.9, event=1, state=.8),
    "inventory": dict(tank=.96, product=.8, volume=.97, net_volume=.5, ullage=.6, capacity=.3, height=.75, water_height=.7,
                      water_volume=.3, temperature=.65, at=.25),
    "delivery": dict(tank=.95, product=.7, started_at=.75, ended_at=.85, start_volume=.7, end_volume=.7, delivered=.85, net_delivered=.45,
                     start_temperature=.4, end_temperature=.45),
    "tank_limits": dict(tank=.96, product=.7, capacity=.8, high_product=.85, overfill=.8, low_product=.8, high_water=.7, delivery_needed=.6,
                        leak_alarm=.5, sudden_loss=.5),
    "reconciliation": dict(tank=.9, product=.7, **{"from": .85, "to": .85}, opening=.9, delivered=.9, sold=.9, closing=.9, over_short=.9,
                           allowed=.5, result=.5),
}

QUANTITY = {}
for q, names in {
    "volume": "start_volume end_volume volume net_volume ullage capacity water_volume delivered net_delivered high_product overfill low_product "
              "delivery_needed leak_alarm sudden_loss opening sold closing over_short allowed",
    "length": "height water_height high_water", "temperature": "temperature start_temperature end_temperature",
    "rate": "test_rate leak_rate threshold", "hours": "duration", "pressure": "pressure", "percent": "percent_full",
    "count": "passes_24h passes_since_midnight",
    "time": "started_at ended_at at from to first_pass_of_month last_pass_at earlier printed_at",
}.items():
    for n in names.split():
        QUANTITY[n] = q

RATES = {"us": {"3.0": 3.0, "0.2": .2, "0.1": .1}, "metric": {"3.0": 11.4, "0.2": .76, "0.1": .38}}


class Record:
    """A record: its kind, number and values. passes are records of tests that its times make besides."""

    def __init__(self, kind, n, values, passes=None):
        self.kind, self.n, self.values, self.passes = kind, n, values, passes or {}

    def tags(self, field):
        """What words that say a field of it are tagged with."""
        out = [(self.kind, field, self.n)] if field != "earlier" else []  # an earlier pass is no field of a summary
        if field == "test_rate":
            out.append((self.kind, "test_class", self.n))
        for at, m in self.passes.items():
            if field == at:
                out.append(("line_test", "ended_at", m))
            elif field in ("line", "product", "test_class"):
                out.append(("line_test", field, m))
        return tuple(out)


class Site:
    """Tanks, lines and sensors of a station, and the day of printing."""

    def __init__(self, rng, words, system, decimals):
        self.rng, self.system, self.words, self.dec = rng, system, words, decimals
        self.made = []  # all its records
        self.now = datetime.datetime(rng.randint(1986, 2027), rng.randint(1, 12), rng.randint(1, 28), rng.choice((5, 6, 7, 8, 9, rng.randrange(24), rng.randrange(24))),
                                     rng.randrange(60), rng.randrange(60))
        n = rng.choice((1, 2, 2, 3, 3, 4, 4, 5, 6, 8))
        ids = list(range(1, n + 1))
        if rng.random() < .15:
            ids = sorted(rng.sample(range(1, 15), n))
        form = rng.choice(("{}",) * 8 + ("0{}", "{:02d}", "{:02d}", "0{}", "{:03d}"))
        letters = rng.random() < .05
        self.tanks = []
        for i in ids:
            cap = rng.choice((1000, 2000, 3000, 4000, 5000, 6000, 8000, 10000, 12000, 15000, 20000, 24000, 25000, 30000, 40000, 50000))
            self.tanks.append(dict(id="ABCDEFGHIJKLMNOP"[i] if letters else form.format(i), product=words.product(), cap=cap,
                                   high=rng.choice((96, 120, 92, 64, 84, 126)) * (25.4 if system == "metric" else 1)))
        self.lines = []
        form = form if rng.random() < .8 else "{}"
        for i in range(1, rng.choice((1, 2, 2, 3, 3, 4, 5)) + 1):
            t = rng.choice(self.tanks)
            self.lines.append(dict(id=form.format(i), product=t["product"]))
        self.form, self.pass_no = form, 0

    def when(self, back=30):
        """A time in the days before now."""
        t = self.now - datetime.timedelta(minutes=self.rng.randint(5, int(back * 1440)))
        return t.replace(second=self.rng.randrange(60))

    def vol(self, v):
        return round(v, self.dec["volume"])

    def number(self, lo, hi):
        return self.vol(self.rng.uniform(lo, hi))

    def temperature(self):
        return self.rng.uniform(34, 92) if self.system == "us" else self.rng.choice((self.rng.uniform(2, 34), self.rng.uniform(-9, 30)))

    def rate(self, cls):
        r = RATES[self.system][cls]
        return self.rng.choice((self.rng.uniform(-r / 2, r / 2),) * 5 + (0.0, self.rng.uniform(-2 * r, 2 * r)))

    def result(self):
        return self.rng.choice(("pass",) * 5 + ("fail",) * 2 + ("inconclusive", "aborted"))

    def records(self, kind, count, first):
        """Records of a kind, numbered from first on, in an order that a console would print."""
        out = getattr(self, kind)(count, first)
        self.made += out
        return out

    def codes(self, code_of):
        """What is said by codes: values by kind, field and record; code_of gives the grade of a product."""
        out = {}
        for x in self.made:
            for f in ("result", "method", "state", "device"):
                if f in x.values:
                    out[x.kind, f, x.n] = x.values[f]
            for m in x.passes.values():
                out["line_test", "result", m] = "pass"
            if x.values.get("product"):
                for kind, n in [(x.kind, x.n)] + [("line_test", m) for m in x.passes.values()]:
                    out[kind, "product", n] = code_of(x.values["product"])
        return out

    def water(self):
        r = self.rng
        return r.choice((0.0, 0.0, r.uniform(0, 3))) * (25.4 if self.system == "metric" else 1)

    def of_tanks(self, count):
        r = self.rng
        if r.random() < .7:
            return self.tanks[:count] if len(self.tanks) >= count else self.tanks + [r.choice(self.tanks) for _ in range(count - len(self.tanks))]
        if r.random() < .5:
            return [r.choice(self.tanks)] * count
        return [r.choice(self.tanks) for _ in range(count)]

    def span(self, kind="hours"):
        r = self.rng
        end = self.when()
        length = datetime.timedelta(minutes=r.choice((r.randint(8, 75), r.randint(100, 600))) if kind == "hours" else 0)
        return end - length, end, length

    def tank_test(self, count, first):
        r, out = self.rng, []
        cls, method = r.choice(("0.2", "0.2", "0.1")), r.choice(("static", "static", "continuous"))
        same = r.random() < .7
        for t in self.of_tanks(count):
            if not same:
                cls, method = r.choice(("0.2", "0.2", "0.1")), r.choice(("static", "continuous"))
            end = self.when()
            length = datetime.timedelta(minutes=r.choice((120, 180, 240, 300, 360, 480, r.randint(100, 1500))))
            full = r.uniform(20, 97)
            v = self.vol(t["cap"] * full / 100)
            res = self.result()
            rate = self.rate(cls)
            th = RATES[self.system][cls] * r.choice((.5, .5, .5, 1, .75)) * r.choice((1, 1, 1, -1))
            values = dict(tank=t["id"], product=t["product"], test_rate=RATES[self.system][cls], method=method, started_at=end - length, ended_at=end,
                          duration=length.total_seconds() / 3600, start_volume=v, end_volume=self.vol(v + rate * length.total_seconds() / 3600),
                          percent_full=full, leak_rate=rate, threshold=th, height=t["high"] * full / 100, water_height=self.water(),
                          temperature=self.temperature(), result=res)
            if res in ("aborted", "inconclusive") and r.random() < .6:
                values.pop("leak_rate")
            out.append(Record("tank_test", first + len(out), values))
        return out

    def line_test(self, count, first):
        r, out = self.rng, []
        cls, same = r.choice(("3.0", "0.2", "0.1")), r.random() < .5
        one = r.random() < .3
        for i in range(count):
            l = self.lines[0] if one else self.lines[i % len(self.lines)]
            c = cls if same else r.choice(("3.0", "0.2", "0.1"))
            end = self.when(r.choice((1, 1, 30)))
            res = self.result()
            values = dict(line=l["id"], product=l["product"], test_rate=RATES[self.system][c], started_at=end - datetime.timedelta(minutes=r.randint(3, 90)), ended_at=end,
                          pressure=r.uniform(8, 52), leak_rate=self.rate(c), result=res)
            if res in ("aborted", "inconclusive") and r.random() < .6:
                values.pop("leak_rate")
            out.append(Record("line_test", first + i, values))
        return out

    def line_summary(self, count, first):
        r, out = self.rng, []
        classes = r.choice((["3.0"], ["3.0"], ["0.2"], ["3.0", "0.2"], ["3.0", "0.2", "0.1"], ["0.2", "0.1"]))
        midnight = self.now.replace(hour=0, minute=0, second=0)
        month = midnight.replace(day=1)
        for l in self.lines[:max(1, count)]:
            for c in classes:
                a = r.randint(0, 26) if c == "3.0" else r.randint(0, 3)
                last, start = self.when(1 if c == "3.0" else 25), month + datetime.timedelta(minutes=r.randint(1, 1400 * max(1, self.now.day - 1)))
                if start > self.now:
                    start = month + datetime.timedelta(minutes=2)
                out.append(Record("line_summary", first + len(out), dict(
                    line=l["id"], product=l["product"], test_class=RATES[self.system][c], passes_24h=a, passes_since_midnight=r.randint(0, a),
                    first_pass_of_month=min(start, last) if last > month else start, last_pass_at=last,
                    earlier=month - datetime.timedelta(minutes=r.randint(1, 40000)))))
        return out

    def sensor_status(self, count, first):
        r = self.rng
        at = self.when(1)
        several = r.random() < .5
        ids = list(range(1, count + 1)) if r.random() < .7 else sorted(r.sample(range(1, 3 * count + 2), count))
        return [Record("sensor_status", first + i, dict(
            sensor=self.form.format(n), location=self.words.location(self), at=self.when(r.choice((1, 30))) if several else at,
            state=r.choice(("normal",) * 6 + ("fuel", "water", "liquid", "high", "low", "out", "other")))) for i, n in enumerate(ids)]

    def alarm(self, count, first):
        r, out = self.rng, []
        times = sorted((self.when(r.choice((1, 3, 10))) for _ in range(count)), reverse=r.random() < .6)
        for i, t in enumerate(times):
            d = r.choice(("tank", "tank", "line", "sensor", "system"))
            n = r.choice(self.tanks)["id"] if d == "tank" else r.choice(self.lines)["id"] if d == "line" else self.form.format(r.randint(1, 12)) if d == "sensor" else None
            values = dict(at=t, device=d, event=self.words.event(d), state=r.choice(("raised", "raised", "cleared", "acknowledged")))
            if n:
                values["device_number"] = n
            out.append(Record("alarm", first + i, values))
        return out

    def inventory(self, count, first):
        r, out = self.rng, []
        at = self.when(.2)
        for i, t in enumerate(self.of_tanks(count)):
            full = r.uniform(.05, .95)
            v = self.vol(t["cap"] * full)
            w = self.water()
            out.append(Record("inventory", first + i, dict(
                tank=t["id"], product=t["product"], volume=v, net_volume=self.vol(v * r.uniform(.985, 1.012)), ullage=self.vol(t["cap"] - v), capacity=self.vol(t["cap"]),
                height=t["high"] * full, water_height=w, water_volume=self.vol(w * r.uniform(2, 9)), temperature=self.temperature(),
                at=at if r.random() < .7 else self.when(.2))))
        return out

    def delivery(self, count, first):
        r, out = self.rng, []
        for i, t in enumerate(self.of_tanks(count)):
            a = self.number(.05 * t["cap"], .4 * t["cap"])
            b = self.number(a + .2 * t["cap"], .95 * t["cap"])
            d = round(b - a, self.dec["volume"])
            end = self.when()
            out.append(Record("delivery", first + i, dict(
                tank=t["id"], product=t["product"], started_at=end - datetime.timedelta(minutes=r.randint(6, 80)), ended_at=end, start_volume=a, end_volume=b, delivered=d,
                net_delivered=self.vol(d * r.uniform(.985, 1.012)), start_temperature=self.temperature(), end_temperature=self.temperature())))
        return out

    def tank_limits(self, count, first):
        r, out = self.rng, []
        for i, t in enumerate(self.tanks[:count]):
            c = t["cap"]
            p = lambda lo, hi: int(round(c * r.uniform(lo, hi), -2 if c > 900 else 0))
            out.append(Record("tank_limits", first + i, dict(
                tank=t["id"], product=t["product"], capacity=c, high_product=p(.88, .96), overfill=p(.86, .95), low_product=p(.04, .12), delivery_needed=p(.12, .3),
                high_water=r.choice((1.0, 1.5, 2.0, .8, 2.5, 3.0)) * (25 if self.system == "metric" else 1), leak_alarm=r.choice((25, 50, 99, 99, 75, 100, 150, 10)),
                sudden_loss=r.choice((25, 50, 99, 30, 75, 120, 200)))))
        return out

    def reconciliation(self, count, first):
        r, out = self.rng, []
        days = r.choice((1, 1, 1, 7, 30, 31))
        end = self.now.replace(hour=r.choice((0, 5, 6, 7, 23)), minute=0, second=0)
        tanks = self.of_tanks(count)
        follow = len(tanks) > 1 and len(set(t["id"] for t in tanks)) == 1
        book = None
        for i, t in enumerate(tanks):
            to = end - datetime.timedelta(days=days * ((count - 1 - i) if follow else 0))
            o = self.number(.1 * t["cap"], .6 * t["cap"]) if book is None or not follow else book
            d = r.choice((0, self.vol(r.choice((2000, 4000, 8000)) + r.randint(-60, 60)), self.number(.2 * t["cap"], 2 * t["cap"])))
            s = self.number(.1 * (o + d), .9 * (o + d))
            over = self.number(-.02 * s, .02 * s)
            closing = round(o + d - s + over, self.dec["volume"])
            book = closing
            allowed = self.vol(s * .01 + r.choice((130, 492, 0)))
            out.append(Record("reconciliation", first + i, {
                "tank": t["id"], "product": t["product"], "from": to - datetime.timedelta(days=days), "to": to, "opening": o, "delivered": d, "sold": s, "closing": closing,
                "over_short": over, "allowed": allowed, "result": "pass" if abs(over) <= allowed else "fail"}))
        return out
