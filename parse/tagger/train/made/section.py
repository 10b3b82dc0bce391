"""A section of a printout before it is laid out: columns (keys), rows and what is shared by rows."""
import re

from .facts import FIELDS, QUANTITY
from .page import both, glued, plain, told

IDS = ("tank", "line", "sensor", "device")

# What consoles print besides and is no field: labels, and of what sort the value is.
EXTRAS = {
    "inventory": [("mass;weight;kg;tonnes", "volume"), ("density;dens;sg", "ratio"), ("room to stop;95% room;safe ullage;free room", "volume"), ("fill;% full;percent", "share"), ("status;probe;float", "word"), ("days left;days cover;hours left", "count"), ("min order;to order", "volume")],
    "tank_test": [("test no;run;seq;entry", "count"), ("confidence;quality;noise;samples", "count"), ("probe;serial", "serial"), ("ullage tested;volume tested;average volume", "volume"), ("next test;next due", "date"), ("sigma;scatter;std dev", "ratio")],
    "line_test": [("test no;run;seq", "count"), ("pump time;runs;idle min;minutes", "count"), ("volume lost;bleed", "ratio"), ("next test;next due", "date"), ("bulk mod;stiffness;profile", "serial")],
    "line_summary": [("fails;failed;bad", "count"), ("tests;runs;tries;total", "count"), ("shutdowns;lockouts", "count"), ("last fail;last failure", "date")],
    "sensor_status": [("type;kind;class", "word"), ("ohms;value;raw;counts", "serial"), ("module;board;slot", "count"), ("since;last alarm", "date")],
    "alarm": [("code;err;no;prio", "count"), ("by;user;op", "word"), ("seq;entry", "serial")],
    "delivery": [("ticket;bol;invoice;truck", "serial"), ("water in;water", "ratio"), ("minutes;time taken", "count"), ("billed;ordered;per ticket", "volume"), ("variance;short", "signed"), ("mass;density", "ratio")],
    "tank_limits": [("probe;serial", "serial"), ("diameter;height;length", "volume"), ("factor;expansion;warmth", "ratio"), ("tilt;offset", "signed"), ("brim volume;shell volume", "volume"), ("product code;colour", "word"), ("tests on;test day;test time", "word"), ("stick offset;float size", "ratio")],
    "reconciliation": [("book;book stock;theory;calculated;should be", "volume"), ("%;percent;var %;pct of sales", "signed"), ("cumulative;month to date;running", "signed"), ("manual adj;adjust;water chg", "signed"), ("days;shifts", "count")],
}
PASSES = ("first_pass_of_month", "last_pass_at", "earlier")
PASSED = re.compile("pass|ok|good|tight|succ|valid|first|last|1st|lat|psd|earliest|recent|newest", re.I)
WORDS_OF = "ok;on;off;std;mag;cap;a;b;t1;auto;yes;no;none;enabled;float;dual;red;east;set".split(";")


class Key:
    """What a column says: a field, or the date or clock of one, or of two (start and end)."""

    def __init__(self, name, fields, part="", kind=None, pick=None, sort=None):
        self.name, self.fields, self.part, self.kind, self.pick, self.sort = name, fields, part, kind, pick, sort
        self.field = fields[0]
        self.quantity = QUANTITY.get(self.field, "text")
        if sort:
            self.quantity = "extra"
        self.numeric = self.quantity not in ("text", "time") and sort not in ("word", "date")


class Row:
    """A row of a table: one record, or several of one tank."""

    def __init__(self, *records):
        self.records = records

    def has(self, field):
        return any(field in r.values for r in self.records)

    def of(self, key):
        """The row with the records only that a column speaks of."""
        if key.pick is not None:
            return Row(*self.records[key.pick:key.pick + 1])
        if key.kind:
            return Row(*(r for r in self.records if r.kind == key.kind))
        return self

    def value(self, field):
        return next((r.values[field] for r in self.records if field in r.values), None)

    def tags(self, *fields):
        return both(*(r.tags(f) for f in fields for r in self.records if f in r.values))


class Section:
    """Rows of a kind with the columns that a console prints of them."""

    def __init__(self, con, kind, rows, fields=None):
        self.con, self.kind, self.rows = con, kind, rows
        r = con.rng
        self.year = r.random() > (.15 if kind in ("alarm", "line_test", "line_summary", "sensor_status") else .05)
        self.end_clock = r.random() < .3
        self.dates_only = r.random() < (.6 if kind == "reconciliation" else .06 if kind != "line_summary" else .15)
        self.code_class = r.random() < .25  # hourly for 3.0
        self.clocks_only = self.daily = False
        self.styles, self.others, self.coded = {}, {}, None
        self.keys = self.chosen(fields)
        if r.random() < .25:
            for i, (labels, sort) in enumerate(r.sample(EXTRAS[kind], r.choice((1, 1, 2)))):
                k = Key(f"x{i}", [f"x{i}"], sort=sort, kind=kind)
                self.styles["label", k.name] = con.words.cased(con.words.abbreviated(r.choice(labels.split(";"))))
                self.keys.insert(r.randint(0, len(self.keys)), k)
        if kind in ("sensor_status", "tank_test", "line_test") and r.random() < .07:
            self.coded = {"sensor_status": "state"}.get(kind, "result")
        self.short = r.choice((0, 7, 9)) if con.width < 36 else r.choice((0, 0, 0, 9))
        self.sign_words = r.random() < .08
        self.units = r.choice(("row", "row", "row", "label", "label", "label", "note", "none", "head", "before"))
        self.weekday = r.random() < .06

    def style(self, name, *choices):
        """A choice that is made once for the section."""
        if name not in self.styles:
            self.styles[name] = self.con.rng.choice(choices)
        return self.styles[name]

    def chosen(self, fields):
        r, con = self.con.rng, self.con
        bent = r.choice((.7, 1, 1, 1.3))
        names = fields or [f for f, p in FIELDS[self.kind].items() if r.random() < p ** (1 / bent) or f == "state" and self.kind == "sensor_status"]
        if not fields and len(names) < 2:
            names = list(FIELDS[self.kind])[:4]
        if self.kind == "alarm" and "device_number" in names and "device" not in names:
            names.append("device")
        # The order: as it is, ids first or at random.
        how = r.random()
        if how < .35:
            ids = [n for n in names if n in IDS + ("product",)]
            rest = [n for n in names if n not in ids]
            r.shuffle(rest)
            at = r.choice((0, 0, 0, len(rest), r.randint(0, len(rest))))
            names = rest[:at] + ids + rest[at:]
        elif how < .45:
            r.shuffle(names)
        if self.kind == "reconciliation" and "to" in names and len(self.rows) > 1 and all(row.has("to") for row in self.rows) and r.random() < .3:
            # A row for each day: its date is both the first and the last.
            for row in self.rows:
                for x in row.records:
                    x.values["from"] = x.values["to"]
            names = [n for n in names if n != "from"]
            self.daily = True
        keys, split = [], r.choice(("no", "no", "no", "parts", "parts", "date"))
        times = [n for n in names if QUANTITY.get(n) == "time"]
        pair = [n for n in ("started_at", "ended_at", "from", "to") if n in times]
        span = len(pair) == 2 and r.random() < .12
        if split != "no" and self.dates_only:
            split = "no"
        for n in names:
            if n == "device_number" and "device" in names:
                continue
            if n == "device":
                apart = "device_number" in names and r.random() < .3
                keys.append(Key("device", ["device"]) if apart or "device_number" not in names else Key("device", ["device", "device_number"], "both"))
                if apart:
                    keys.append(Key("device_number", ["device_number"]))
            elif n in times:
                if self.daily:
                    keys.append(Key("date", ["from", "to"], "date"))
                elif span and n in pair:
                    if n == pair[0]:
                        keys.append(Key("span", pair, "span"))
                elif split == "date" and len(pair) == 2 and n in pair and self.one_day(pair):
                    if n == pair[0]:
                        keys.append(Key("date", pair, "date"))
                    keys.append(Key(n + ".clock", [n], "clock"))
                elif split == "parts" or split == "date" and n not in pair and r.random() < .7:
                    two = [Key(n + ".date", [n], "date"), Key(n + ".clock", [n], "clock")]
                    keys += reversed(two) if con.forms.clock_first else two
                else:
                    keys.append(Key(n, [n]))
            else:
                keys.append(Key(n, [n]))
        for a, b in (("start_volume", "end_volume"), ("start_temperature", "end_temperature"), ("opening", "closing")):
            if a in names and b in names and r.random() < .08:
                keys = [Key(a, [a, b], "arrow") if k.name == a else k for k in keys if k.name != b]
        if any(k.name == "product" for k in keys) and r.random() < .1:
            for k in keys:
                if k.name in ("tank", "line"):
                    k.part = "name"
                    keys = [x for x in keys if x.name != "product"]
        return keys

    def one_day(self, fields):
        return all(all(map(row.has, fields)) and len({row.value(f).date() for f in fields}) == 1 for row in self.rows)

    def key(self, name):
        return next((k for k in self.keys if k.name == name), None)

    def same(self, key, rows=None):
        """Whether a column says the same in all rows."""
        said = {self.text(key, row) for row in (rows or self.rows)}
        return len(said) == 1 and None not in said

    def text(self, key, row):
        span = self.cell(key, row)
        return None if span is None else " ".join(w for w, _ in span)

    # Cells.

    def cell(self, key, row, unit=False):
        """What a row says in a column, or None."""
        con, f = self.con, key.field
        forms = con.forms
        if key.sort:
            return self.other(key, row)
        row = row.of(key)
        if not any(row.has(x) for x in key.fields) or key.part in ("span", "clock", "date", "arrow") and not all(row.has(x) for x in key.fields):
            return None
        v = row.value(f)
        if key.part == "arrow":
            mark = self.style("arrow", ">", "->", "to", "/", "-", ">>", "..", "=>")
            a, b = (told(forms.number(row.value(x), key.quantity, x), row.tags(x)) for x in key.fields)
            u = forms.units.get(key.quantity)
            return a + plain(mark) + b + (plain(u) if unit and u else [])
        if key.part == "name" and row.has("product"):
            a, b = told(v, row.tags(f)), told(row.value("product"), row.tags("product"))
            mark = self.style("name mark", "", "", "-", ":", " -", " /", "()", "=", " :", "/")
            if mark == "()":
                return a + glued(plain("("), b, plain(")"))
            return a + b if not mark else a + plain(mark) + b if mark.startswith(" ") else glued(a, plain(mark), b)
        if key.part == "both":
            return con.device(v, row)
        if key.part == "date":
            return told(forms.date(v, self.year), row.tags(*key.fields))
        if key.part == "clock":
            return told(forms.clock(v), row.tags(f))
        if key.part == "span":
            a, b = ([x for x in key.fields])
            x, y = row.value(a), row.value(b)
            between = self.style("span", "-", "to", "-", "--", "till", "...", "=>")
            if self.clocks_only:
                one, two = forms.clock(x), forms.clock(y)
            elif self.dates_only:
                one, two = forms.date(x, self.year), forms.date(y, self.year)
            else:
                one, two = forms.moment(x, self.year), forms.clock(y) if x.date() == y.date() and not forms.clock_first else forms.moment(y, self.year)
            if self.style("glued", False, True) and between in ("-", "...") and not self.clocks_only and not self.dates_only and x.date() == y.date() and " " not in forms.clock(x) + forms.clock(y):
                return told(forms.date(x, self.year, self.weekday), row.tags(a, b)) + [(forms.clock(x) + between + forms.clock(y), row.tags(a, b))]
            if self.style("glued", False, True) and " " not in one + two and between in ("-", "..."):
                return [(one + between + two, row.tags(a, b))]
            day = told(forms.date(x, self.year), row.tags(a, b)) if " " in one and not self.dates_only and not self.clocks_only and not forms.clock_first and x.date() == y.date() and one.startswith(forms.date(x, self.year) + " ") else None
            first = day + told(one[len(forms.date(x, self.year)):], row.tags(a)) if day else told(one, row.tags(a))
            return first + plain(between) + told(two, row.tags(b))
        if key.quantity == "time":
            if self.clocks_only:
                return told(forms.clock(v), row.tags(f))
            if self.dates_only:
                return told(forms.date(v, self.year), row.tags(f))
            other = {"ended_at": "started_at", "to": "from"}.get(f)
            if self.end_clock and other and any(k.name == other for k in self.keys) and row.has(other) and row.value(other).date() == v.date():
                return told(forms.clock(v), row.tags(f))
            return told(forms.moment(v, self.year, self.weekday), row.tags(f))
        if key.quantity == "text" or f == "test_class":
            word = con.word(self, f, v, row)
            if v in ("fail", "fuel", "water", "liquid", "raised") and self.style("alert", *([False] * 15 + [True])):
                a, b = self.style("alert mark", "** **", "- <--", "- *", "> <", "!! !!", "- ***", "*** -").split()
                return (plain(a) if a != "-" else []) + word + (plain(b) if b != "-" else [])
            return word
        if f == "test_rate" and self.code_class:
            word = told(con.words.class_word(v), [t for t in row.tags(f) if t[1] == "test_class"])
            if self.style("class and rate", False, False, True):
                rate = told(forms.number(v, "rate", f), row.tags(f))
                word = word + (rate + plain(forms.units["rate"]) if unit else rate)
            return word
        if key.quantity == "hours":
            text = forms.hours(v)
        else:
            text = forms.number(v, key.quantity, f)
        out = told(text, row.tags(f))
        if self.sign_words and f == "over_short":
            out = told(text.strip("+-()"), row.tags(f)) + plain(con.words.cased(self.style("minus", "short", "loss", "under", "deficit") if v < 0 else self.style("plus", "over", "gain", "surplus")))
        u = forms.units.get(key.quantity if f != "test_class" else "rate")
        if unit and u:
            out = glued(out, plain(u)) if forms.attached[key.quantity] and " " not in u else out + plain(u)
        return out

    def other(self, key, row):
        """The value of a column that is no field."""
        name = key.name, row.records[0].n
        if name not in self.others:
            r, forms, site = self.con.rng, self.con.forms, self.con.site
            self.others[name] = plain({
                "volume": lambda: forms.number(site.number(50, 20000), "volume"), "ratio": lambda: forms.number(r.uniform(0, 1.2), "rate"), "share": lambda: forms.number(r.uniform(5, 95), "percent"),
                "count": lambda: str(r.randint(0, 40)), "serial": lambda: str(r.randint(1000, 999999)), "date": lambda: forms.date(site.when(60)), "word": lambda: self.con.words.cased(r.choice(WORDS_OF)),
                "signed": lambda: forms.number(r.uniform(-90, 90), "volume", "over_short")}[key.sort]())
        return self.others[name]

    def said(self, key, rows):
        """What the words of a label say themselves: passed for a pass, raised for the time when it was."""
        if key.pick is not None:
            return both(*(row.of(key).tags("state") for row in rows))
        if key.field in PASSES and key.part != "clock" and PASSED.search(self.label(key)):
            return tuple(("line_test", "result", x.passes[key.field]) for row in rows for x in row.records if key.field in x.passes)
        return ()

    def unit(self, key):
        if key.sort or key.quantity in ("count", "text", "time"):
            return "" if key.field != "test_class" else self.con.forms.units["rate"]
        return self.con.forms.units.get(key.quantity, "")

    def label(self, key, brief=0):
        """The label of a column as text, perhaps with the unit."""
        con = self.con
        if key.sort or key.pick is not None:
            return self.styles["label", key.name]
        kind = key.kind or self.kind
        brief = brief or self.short
        name = ("label", kind, key.name, brief)
        if name not in self.styles:
            make = (lambda f: con.words.brief(kind, f, brief)) if brief else (lambda f: con.words.label(kind, f))
            lab = con.words.cased
            if key.part == "date":
                day = lab(con.rng.choice(("date", "date", "date", "day", "dt")))
                text = day if len(key.fields) > 1 or con.rng.random() < (.3 if len([k for k in self.keys if k.part == "date"]) > 1 else .8) else make(key.field) + " " + day
            elif key.part == "clock":
                hour = lab(con.rng.choice(("time", "time", "time", "clock", "hour", "tm")))
                one = len([k for k in self.keys if k.part == "clock"]) == 1
                text = hour if con.rng.random() < (.8 if one else .15) else make(key.field) + (" " + hour if con.rng.random() < .6 else "")
            elif key.part == "arrow":
                text = lab(con.rng.choice(("before > after", "from to", "start - end", "volume", "stock", "gauge", "fuel", "first/last", "readings", "then now")) if key.quantity == "volume" else con.rng.choice(("temps", "temp", "deg", "temperature")))
            elif key.part == "span":
                text = lab(con.rng.choice(("period", "time", "from - to", "start - end", "interval", "hours", "run", "window", "between")))
            elif self.units in ("label", "head") and key.quantity == "volume" and con.rng.random() < .05:
                text = lab(con.forms.units["volume"])
            else:
                text = make(key.field)
            self.styles[name] = text
        return self.styles[name]

    def with_unit(self, key, brief=0):
        """The label with the unit behind, where units stand by labels."""
        text, u = self.label(key, brief), self.unit(key)
        if self.units not in ("label", "head") or not u or u in text.split():
            return text
        how = self.style("unit", "{} {}", "{} {}", "{} ({})", "{} ({})", "{}, {}", "{} [{}]", "{} in {}", "{}/{}")
        return how.format(text, u)

    def named(self, key, rows, brief=0, unit=True):
        """The label as a span."""
        return told(self.with_unit(key, brief) if unit else self.label(key, brief), self.said(key, rows))

    def code(self, text):
        """A short code for a word, of which a legend tells the meaning."""
        for n in range(1, 6):
            c = "".join(w[:n] for w in text.split())[:n + 1].upper() if n > 1 or " " in text else text[0].upper()
            if self.styles.setdefault(("code", c), text) == text:
                return c
        return text

    def legend(self):
        """Lines that tell what codes mean."""
        known = [(k[1], v) for k, v in self.styles.items() if isinstance(k, tuple) and k[0] == "code"]
        mark = self.style("code mark", " ", "=", " = ", ": ", " - ")
        spans = [plain(c + mark + v) for c, v in known]
        if self.style("legend lines", True, False):
            return spans
        return [[w for s in spans for w in s]] if spans else []
