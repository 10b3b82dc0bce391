"""How a console prints numbers, dates and times, and which units it uses."""
MONTHS = "January February March April May June July August September October November December".split()
DAYS = "Monday Tuesday Wednesday Thursday Friday Saturday Sunday".split()

UNITS = {
    "us": {"volume": ("gal", "GAL", "gals", "gallons", "g", "GL", "US gal", "USG"), "length": ("in", "IN", "inches", "ins", "inch", '"', "in."),
           "temperature": ("F", "deg F", "°F", "degF", "DEG.F"), "rate": ("gal/h", "gph", "gal/hr", "GPH", "g/h", "gal per hour", "gals/hr")},
    "metric": {"volume": ("L", "l", "litres", "ltr", "liters", "LTRS", "lt", "Lit"), "length": ("mm", "MM", "mm."),
               "temperature": ("C", "deg C", "°C", "degC", "celsius"), "rate": ("L/h", "l/h", "lph", "LPH", "L/hr", "litres/hour", "ltr/h", "litres per hour")},
}


class Forms:
    """Chosen once for a console."""

    def __init__(self, rng):
        self.rng = rng
        self.system = "us" if rng.random() < .55 else "metric"
        self.dec = {"volume": rng.choice((0, 0, 0, 0, 1, 1, 2, 3)), "length": rng.choice((0, 1, 2, 2, 3) if self.system == "us" else (0, 0, 1, 1, 2)),
                    "temperature": rng.choice((0, 1, 1, 1, 2)), "rate": rng.choice((2, 3, 3, 4)), "pressure": rng.choice((0, 1, 1, 2)),
                    "percent": rng.choice((0, 0, 1, 1, 2)), "hours": rng.choice((0, 1, 1, 2))}
        self.comma = rng.random() < (.4 if self.system == "metric" else .02)
        self.thousands = rng.choice(("", "", "", "", ".") if self.comma else ("", "", "", ",", ","))
        if rng.random() < .05:
            self.thousands = rng.choice("'  ")
        self.bare = rng.random() < .12  # .2 for 0.2
        self.plus = rng.random() < .25
        self.bracket = rng.random() < .08
        self.behind = rng.random() < .03  # 4-
        self.zeros = rng.choice((0,) * 12 + (5, 6))
        self.clockwise = rng.choice(("h:mm", "hm", "h.mm")) if rng.random() < .35 else ""
        self.units = {q: rng.choice(u) for q, u in UNITS[self.system].items()}
        self.units.update(pressure=rng.choice(("psi", "PSI", "psig", "p.s.i.", "lb/in2")), hours=rng.choice(("h", "hrs", "hours", "hr", "HRS", "H")),
                          percent=rng.choice(("%", "%", "%", "pct", "percent", "PCT")))
        if self.clockwise:
            self.units["hours"] = rng.choice(("", "h:mm", "hrs", "h"))
        self.attached = {q: rng.random() < (.7 if q == "percent" else .12) for q in self.units}
        # Dates and times.
        self.date_order = rng.choice(("mdy", "mdy", "dmy", "dmy", "ymd") if self.system == "us" else ("dmy", "dmy", "dmy", "ymd", "ymd", "mdy"))
        self.month = rng.choice(("num",) * 5 + ("abc", "abc", "ABC", "Full"))
        self.date_mark = rng.choice("//-.") if self.month == "num" else rng.choice("    -/")
        if rng.random() < .05:
            self.date_mark = ""
        self.century = rng.random() < .6 or self.date_order == "ymd" and rng.random() < .8
        self.padded = rng.random() < .75 or self.date_mark == ""
        self.comma_year = self.month != "num" and self.date_order == "mdy" and rng.random() < .6
        self.weekday = rng.choice(("",) * 8 + ("Ddd", "DDD", "Dddd", "Ddd,"))
        self.half = rng.choice(("",) * 6 + ("AM", " AM", " am", "am", "a", "P", " a.m.", " A"))
        self.clock_mark = rng.choice(("::::::::." if rng.random() < .8 else "h:")) if rng.random() < .96 else ""
        self.seconds = rng.random() < .12
        self.hour_zero = rng.random() < .7
        self.between = rng.choice(("",) * 10 + ("at", ",", "-", "@", "T", "/"))
        self.clock_first = rng.random() < .12
        self.tail = rng.choice(("",) * 30 + ("hrs", "h", "uhr", "hours"))

    def number(self, v, quantity, field=""):
        d = self.dec.get(quantity, 0)
        if field in ("test_rate", "test_class"):
            s = f"{v:.2f}" if v in (.76, .38) else f"{v:.1f}"
        elif field in ("capacity", "high_product", "overfill", "low_product", "delivery_needed", "leak_alarm", "sudden_loss") and isinstance(v, int):
            s = f"{v}"
        else:
            s = f"{abs(v):.{d}f}"
        sign = "-" if v < 0 and float(s) != 0 else ""
        whole, _, part = s.lstrip("-").partition(".")
        if self.thousands and len(whole) > 3:
            whole = f"{int(whole):,}".replace(",", self.thousands)
        elif self.zeros and quantity == "volume" and not part:
            whole = whole.zfill(self.zeros)
        if self.bare and whole == "0" and part and quantity == "rate":
            whole = ""
        s = whole + ("," if self.comma else ".") + part if part else whole
        signed = field in ("leak_rate", "over_short")
        if sign and self.bracket and field == "over_short":
            return "(" + s + ")"
        if sign and self.behind and signed:
            return s + "-"
        return (sign or ("+" if self.plus and signed and v > 0 else "")) + s

    def hours(self, h):
        m = round(h * 60)
        if self.clockwise == "h:mm":
            return f"{m // 60}:{m % 60:02d}"
        if self.clockwise == "h.mm":
            return f"{m // 60:02d}:{m % 60:02d}:00"
        if self.clockwise == "hm":
            return f"{m // 60}h {m % 60:02d}m" if self.padded else f"{m // 60}h{m % 60:02d}"
        return self.number(h, "hours")

    def date(self, t, year=True, weekday=False):
        d = f"{t.day:02d}" if self.padded else str(t.day)
        if self.month == "num":
            m = f"{t.month:02d}" if self.padded else str(t.month)
        else:
            m = MONTHS[t.month - 1]
            m = m if self.month == "Full" else m[:3] if self.month == "abc" else m[:3].upper()
        y = str(t.year) if self.century else f"{t.year % 100:02d}"
        mark = self.date_mark
        if self.comma_year and mark == " ":
            s = f"{m} {d}, {y}" if year else f"{m} {d}"
        else:
            s = mark.join({"y": y, "m": m, "d": d}[c] for c in self.date_order if year or c != "y")
        if weekday and self.weekday:
            w = DAYS[t.weekday()]
            w = w if self.weekday == "Dddd" else w[:3].upper() if self.weekday == "DDD" else w[:3] + ("," if "," in self.weekday else "")
            s = w + " " + s
        return s

    def clock(self, t):
        h, tail = t.hour, ""
        if self.half:
            letter = "a" if h < 12 else "p"
            tail = {"AM": letter.upper() + "M", " AM": f" {letter.upper()}M", " am": f" {letter}m", "am": letter + "m", "a": letter, "P": letter.upper(),
                    " a.m.": f" {letter}.m.", " A": " " + letter.upper()}[self.half]
            h = h % 12 or 12
        s = (f"{h:02d}" if self.hour_zero or not self.clock_mark else str(h)) + self.clock_mark + f"{t.minute:02d}"
        if self.seconds and self.clock_mark in ":.":
            s += self.clock_mark + f"{t.second:02d}"
        return s + tail + (" " + self.tail if self.tail and not self.half else "")

    def moment(self, t, year=True, weekday=False):
        d, c = self.date(t, year, weekday), self.clock(t)
        if self.clock_first:
            return c + " " + d
        if self.between == "T":
            return d + "T" + c if self.date_order == "ymd" and self.month == "num" else d + " " + c
        if self.between == ",":
            return d + ", " + c
        return d + " " + (self.between + " " if self.between else "") + c
