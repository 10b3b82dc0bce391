"""A whole printout: head, title, sections, what is shared, notes."""
import datetime

from .console import Console
from .facts import KINDS, Record
from .head import Head, noise
from .layouts_more import by_field, grid, matrix, panels, sentences, split, sums
from .layouts_pairs import entries, pairs
from .layouts_table import table, transposed
from .page import Page, glued, plain, told, wide
from .section import PASSES, Key, Row, Section
from .words import grade_of, lexicon

GROUPS = {"tank_test": ("tank", "tank", "test_rate", "method", "day", "result"), "line_test": ("line", "line", "test_rate", "test_rate", "day", "result"), "line_summary": ("line", "line", "test_class"),
          "sensor_status": ("state", "location", "day"), "alarm": ("day", "day", "device", "device", "state"), "inventory": ("product", "tank", "tank"), "delivery": ("tank", "day", "product"), "tank_limits": ("product", "tank"),
          "reconciliation": ("tank", "day", "result")}


def title(con, kind):
    """The title of a section as text, in many words or none."""
    r = con.rng
    key = "title", kind
    if key not in con.words.kept:
        names = lexicon()["kind"][kind]
        t = names[0] if r.random() < .2 else r.choice(names)
        if r.random() < .15:
            t = r.choice(("daily {}", "monthly {}", "{} report", "{} list", "{} - all", "station {}", "{} print", "{} today", "shift {}", "{} slip", "{} (auto)", "latest {}", "report of {}", "{} sheet", "full {}")).format(t)
        if r.random() < .12:
            t = con.words.abbreviated(t, r.choice(("vowels", "cut")))
        con.words.kept[key] = con.words.cased(t)
    return con.words.kept[key]


def put_title(con, page, span, beside=None):
    r = con.rng
    how = con.words.kept.setdefault("title form", r.choice(("", "", "", "", "** {} **", "- {} -", "= {} =", "[ {} ]", "{}:", "spaced", "rule", "rules", "<< {} >>", "*** {}", "-- {} --")))
    where = con.words.kept.setdefault("title place", r.choice(("left", "left", "left", "centre", "centre", "right")))
    if how == "spaced" and wide(span) * 2 < page.width and not any(t for _, t in span):
        span = [(w, ()) for word, _ in span for w in word]
    elif how.endswith("}:"):
        span = glued(span, plain(":"))
    elif "{" in how:
        a, b = how.split("{}")
        span = plain(a) + span + plain(b)
    if how == "rules":
        page.rule(con.rule_mark)
    if beside and wide(span) + wide(beside) + 2 <= page.width:
        page.line((0, span), (page.width - wide(beside), beside)) if r.random() < .7 else page.line((0, span), (wide(span) + 3, beside))
    else:
        getattr(page, where)(span)
        if beside:
            getattr(page, where)(beside)
    if how in ("rule", "rules"):
        page.rule(con.rule_mark)


def all_of(rows):
    """One row that stands for all: what is said of it is said of each record."""
    return Row(*(x for row in rows for x in row.records))


def lift(sec):
    """Takes from the columns what all rows share: a list of (key, span)."""
    r, out = sec.con.rng, []
    if len(sec.rows) < 2 and r.random() < .6:
        return out
    every = all_of(sec.rows)
    days = [k for k in sec.keys if k.quantity == "time"]
    if days and r.random() < .3 and not sec.dates_only and all(row.has(f) for row in sec.rows for k in days for f in k.fields):
        fields = [f for k in days for f in k.fields]
        if len({row.value(f).date() for row in sec.rows for f in fields}) == 1:
            sec.keys = [k for k in sec.keys if k.part != "date"]
            sec.clocks_only = True
            out.append((Key("day", fields, "date"), told(sec.con.forms.date(sec.rows[0].value(fields[0]), sec.year, True), every.tags(*fields))))
    chance = {"test_rate": .5, "test_class": .5, "method": .5, "threshold": .4, "at": .5, "from": .5, "to": .5, "tank": .6, "line": .5, "product": .5, "span": .5, "date": .5}
    for k in list(sec.keys):
        if len(sec.keys) > 2 and r.random() < chance.get(k.name, .08) and sec.same(k) and (k.name != "product" or len({row.value("tank") or row.value("line") for row in sec.rows}) == 1):
            if all(row.has(f) for row in sec.rows for f in k.fields):
                c = sec.cell(k, every, unit=True)
                sec.keys.remove(k)
                out.append((k, c))
    return out


def put_lifted(con, sec, page, lifted):
    """Lines of what is shared."""
    r = con.rng
    spans = []
    for k, c in lifted:
        how = r.random()
        if k.name in ("tank", "line", "sensor") and how < .8:
            c = con.numbered(con.noun(k.name), c)
        elif k.field in ("test_rate", "test_class", "method", "product") and how < .6 or k.name in ("day", "span") and how < .5:
            pass
        else:
            label = sec.label(k) if k.name != "day" else con.words.cased(r.choice(("date", "day", "all on", "of", "tests of", "on")))
            c = plain(label + r.choice((":", ":", "", "="))) + c
        spans.append(c)
    some = r.choice(("each", "each", "one", "one"))
    if r.random() < .2 and spans:
        spans[0] = plain(con.words.cased(r.choice(("all", "for all", "all tests", "every row", "each", "all lines", "all tanks", "holds for all", "note:", "valid for all")))) + spans[0]
    if some == "one":
        mark = r.choice(("", "", ",", ";", " -", " /"))
        line = []
        for i, s in enumerate(spans):
            line += (glued(s, plain(mark)) if mark and not mark.startswith(" ") else s + plain(mark)) if i < len(spans) - 1 else s
        spans = [line]
    for s in spans:
        page.left(s)


def put_legend(con, sec, page, tank, key):
    """Which product is in which tank, below a table that does not say it."""
    r = con.rng
    if r.random() < .5:
        page.blank()
    if r.random() < .4:
        page.left(plain(con.words.cased(r.choice(("products", "contents", "tanks", "what is where", "legend", "fuel in tanks")))))
    out = [con.numbered(con.noun("tank"), sec.cell(tank, row)) + plain(sec.style("legend is", "", "", "=", ":", "-")) + sec.cell(key, row) for row in sec.rows]
    if r.random() < .6:
        for s in out:
            page.left(s)
    else:
        page.left([w for s in out for w in s])


def grouped(sec):
    """Groups of rows with what stands above each: (keys, rows) or None for no groups."""
    r = sec.con.rng
    if len(sec.rows) < 2 or len(sec.keys) < 3 or r.random() < .72:
        return None
    name = r.choice(GROUPS[sec.kind])
    if name == "day":
        fields = [f for k in sec.keys if k.quantity == "time" for f in k.fields]
        if not fields or sec.dates_only or any(not row.has(f) for row in sec.rows for f in fields) or not all(len({row.value(f).date() for f in fields}) == 1 for row in sec.rows):
            return None
        sec.keys = [k for k in sec.keys if k.part != "date"]
        sec.clocks_only = True
        key, say = [Key("day", fields, "date")], lambda row: row.value(fields[0]).date()
    else:
        k = sec.key(name)
        if not k or any(sec.cell(k, row) is None for row in sec.rows):
            return None
        key, say = [k], lambda row: sec.text(k, row)
        p = sec.key("product")
        if p and name in ("tank", "line") and r.random() < .8:
            key.append(p)
        sec.keys = [x for x in sec.keys if x not in key]
    groups = {}
    for row in sec.rows:
        groups.setdefault(say(row), []).append(row)
    return key, list(groups.values())


def put_group_head(con, sec, page, keys, rows):
    every = all_of(rows)
    out = []
    for k in keys:
        c = sec.cell(k, every, unit=True) if k.name != "day" else told(con.forms.date(every.value(k.field), sec.year, True), every.tags(*k.fields))
        if c is None:
            continue
        if k.name in ("tank", "line", "sensor"):
            c = con.numbered(con.noun(k.name), c)
        elif sec.style("group label" + k.name, False, False, True) and k.name not in ("device",):
            c = plain((sec.label(k) if k.name != "day" else con.words.cased("date")) + sec.style("group colon", ":", "", ":")) + c
        elif k.name == "product" and out and sec.style("group ()", True, False):
            c = glued(plain("("), c, plain(")"))
        out += c
    how = sec.style("group head", "", "", "", "-- {} --", "{}:", "** {}", "[ {} ]", "rule", "= {} =")
    if how == "{}:":
        out = glued(out, plain(":"))
    elif "{" in how:
        a, b = how.split("{}")
        out = plain(a) + out + plain(b)
    page.left(out)
    if how == "rule":
        page.rule(con.rule_mark)


LAYOUTS = [table] * 10 + [transposed] * 5 + [pairs] * 9 + [entries] * 5 + [sentences] * 3 + [panels] * 3 + [split, by_field]
OFTEN = {"delivery": [matrix] * 8 + [sums], "reconciliation": [sums] * 4 + [matrix] * 2, "tank_test": [matrix] * 3, "inventory": [sums] * 2, "line_test": [matrix], "alarm": [entries] * 8 + [grid] * 2, "sensor_status": [entries] * 8 + [panels] * 3}
# Kinds that are told together of each tank or line.
TOGETHER = [("inventory", "tank_limits"), ("inventory", "tank_test"), ("delivery", "inventory"), ("tank_test", "reconciliation"), ("inventory", "reconciliation"), ("tank_test", "inventory"),
            ("line_summary", "line_test"), ("inventory", "delivery"), ("tank_limits", "tank_test"), ("tank_test", "tank_limits"), ("reconciliation", "delivery")]


def fitting(rng, kind):
    return rng.choice(LAYOUTS + OFTEN.get(kind, []))


def on_and_off(con, sec, first):
    """Alarms of which each row tells when it came and when it went; the headings say which."""
    r = con.rng
    states = r.choice((("raised", "cleared"), ("raised", "cleared"), ("raised", "acknowledged"), ("raised", "acknowledged", "cleared")))
    rows, n = [], first
    for row in sec.rows:
        out, v = [], dict(row.records[0].values)
        at = v["at"]
        for s in states[:len(states) if r.random() < .8 else 1]:
            out.append(Record("alarm", n, dict(v, at=at, state=s)))
            con.site.made.append(out[-1])
            n += 1
            at = at + datetime.timedelta(minutes=r.randint(1, 300))
        rows.append(Row(*out))
    sec.rows = rows
    keys = [k for k in sec.keys if "at" not in k.fields and k.name != "state" and not k.sort]
    new = [Key(f"at{i}", ["at"], pick=i) for i in range(len(states))]
    for k, s in zip(new, states):
        sec.styles["label", k.name] = con.words.chosen("alarm_state", s)
    at = r.choice((0, len(keys), len(keys)))
    sec.keys = keys[:at] + new + keys[at:]
    return n


def together(con, sec, other):
    """Rows of two kinds, of the same tanks or lines, as rows of both."""
    name = "line" if sec.kind.startswith("line") else "tank"
    used, rows = [], []
    for row in sec.rows:
        more = next((x for x in other.rows if x not in used and x.value(name) == row.value(name)), None)
        if more:
            used.append(more)
        rows.append(Row(*row.records, *(more.records if more else ())))
    ids = [k for k in sec.keys if k.name in (name, "product")] or [Key(name, [name])]
    a, b = ([k for k in s.keys if k.name not in (name, "product")][:7] for s in (sec, other))
    for keys, kind in ((a, sec.kind), (b, other.kind)):
        for k in keys:
            k.kind = kind
            k.name = kind + " " + k.name
    for s in (sec, other):
        s.end_clock = False
        s.coded = None
    for k in b:
        if k.sort:
            sec.styles["label", k.name] = other.styles["label", k.name.split(" ", 1)[1]]
    for k in a:
        if k.sort:
            sec.styles["label", k.name] = sec.styles["label", k.name.split(" ", 1)[1]]
    sec.keys = ids + a + b
    sec.rows = rows
    return used


def put_section(con, page, sec, layout, with_title=True, beside=None):
    """A section with its title, what is shared, its body and notes."""
    r = con.rng
    lifted = lift(sec)
    legend = None
    if sec.key("product") and sec.key("tank") and all(row.has("tank") for row in sec.rows) and len({row.value("tank") for row in sec.rows}) == len(sec.rows) > 1 and r.random() < .06 and all(row.has("product") for row in sec.rows):
        legend = sec.key("tank"), sec.key("product")
        sec.keys.remove(legend[1])
    groups = None if layout is grid or any(k.pick is not None for k in sec.keys) else grouped(sec)
    sec.count = r.choice((1, 1, 1, 1, r.randint(2, 90)))
    if layout is entries and sec.units in ("label", "head"):
        sec.units = "row"
    if layout is pairs and sec.units in ("note", "none") and r.random() < .5:
        sec.units = "row"
    where = r.choice(("above", "above", "above", "below"))
    name = plain(title(con, sec.kind)) if with_title else []
    if lifted and name and r.random() < .4:
        k, c = lifted[0]
        if k.name in ("tank", "line", "sensor"):
            c = con.numbered(con.noun(k.name), c)
        c = plain(r.choice(("", "-", "", "/", "of", ":"))) + c
        if wide(name) + wide(c) < page.width:
            name = name + c if r.random() < .8 else c + name
            lifted = lifted[1:]
    if name:
        put_title(con, page, name, beside)
        if r.random() < .4:
            page.blank()
    elif beside:
        page.left(beside)
    units = [sec.unit(k) for k in sec.keys if sec.unit(k)]
    note = sec.units == "note" and units and plain(con.words.cased(r.choice(("units", "all in", "figures in", "in", "measured in", "values in")))) + plain(", ".join(dict.fromkeys(units)))
    if note and r.random() < .5:
        page.left(note)
        note = None
    if lifted and where == "above":
        put_lifted(con, sec, page, lifted)
        if r.random() < .4:
            page.blank()
    if groups:
        keys, some = groups
        all_rows, sec.rows = sec.rows, [x for g in some for x in g]
        again = sec.style("heads again", True, False)
        gap = sec.style("group gap", "blank", "blank", "", "rule")
        for i, rows in enumerate(some):
            if i and gap == "blank":
                page.blank()
            elif i and gap == "rule":
                page.rule(con.rule_mark)
            put_group_head(con, sec, page, keys, rows)
            layout(sec, page, rows, i == 0 or again)
    else:
        layout(sec, page, sec.rows)
    if legend:
        put_legend(con, sec, page, *legend)
    if sec.coded:
        if r.random() < .5:
            page.blank()
        for l in sec.legend():
            page.left(l)
    if lifted and where == "below":
        if r.random() < .4:
            page.blank()
        put_lifted(con, sec, page, lifted)
    if note:
        page.left(note)


def make(rng):
    """A random printout by a random console."""
    con = Console(rng)
    r = rng
    page, head = Page(con.width), Head(con)
    kinds = r.sample(KINDS, r.choice((1,) * 12 + (2, 2, 3)))
    first, sections = 0, []
    for kind in kinds:
        n = r.choice((1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 4, 4, 5, 7)) if len(kinds) == 1 else r.choice((1, 1, 2, 2, 3))
        if len(kinds) == 1 and kind in ("alarm", "sensor_status"):
            n += r.choice((0, 1, 2, 3))
        records = con.site.records(kind, n, first)
        first += len(records)
        if kind == "line_summary":
            # Times that are printed are passes of tests besides.
            sec = Section(con, kind, [Row(x) for x in records])
            for x in records:
                for f in PASSES:
                    if any(f in k.fields for k in sec.keys):
                        x.passes[f] = first
                        first += 1
        else:
            for x in records:  # now and then a value is not there
                if r.random() < .06:
                    gone = r.choice(list(x.values))
                    if gone not in ("tank", "line", "sensor", "device", "at", "state", "event", "started_at", "from", "started_at", "device_number") and len(x.values) > 4:
                        del x.values[gone]
            sec = Section(con, kind, [Row(x) for x in records])
        sections.append(sec)
    if len(sections) == 1 and sections[0].kind == "alarm" and r.random() < .15:
        on_and_off(con, sections[0], 0)
    if len(sections) == 1 and r.random() < .12:
        two = [t for t in TOGETHER if t[0] == sections[0].kind]
        if two:
            sec = sections[0]
            kind = r.choice(two)[1]
            other = Section(con, kind, [Row(x) for x in con.site.records(kind, len(sec.rows), first)])
            other.units = sec.units
            together(con, sec, other)
    beside = head.beside
    early = r.random() < .2  # title before the head
    titled = r.random() > .06
    for _ in range(r.choice((0, 0, 0, 0, 0, 1))):
        page.left(noise(con))
    if not early:
        head.put(page, head.top)
        for _ in range(r.choice((0, 0, 0, 0, 1, 1, 2))):
            getattr(page, head.where)(noise(con))
        if r.random() < .6:
            page.blank()
    if len(sections) == 2 and r.random() < .3 and (titled or not early):
        halves = []
        for sec in sections:
            half = Page(max(18, page.width // 2 - 1))
            sec.short = sec.short or 7
            put_section(con, half, sec, r.choice((pairs, entries, entries, panels, transposed, sentences)), titled)
            halves.append(half)
        if all(h.lines for h in halves):
            halves[0].width = halves[0].far()
            if early:
                head.put(page, head.top)
            page.beside(halves, max(halves[0].far() + r.choice((2, 3)), page.width // 2), r.choice(("", "", "", "|")))
        sections = []
    for i, sec in enumerate(sections):
        layout = fitting(r, sec.kind)
        if i:
            page.blank()
        if i == 0 and early and titled:
            put_title(con, page, plain(title(con, sec.kind)), beside)
            beside = None
            head.put(page, head.top)
            if r.random() < .5:
                page.blank()
            put_section(con, page, sec, layout, False)
        else:
            put_section(con, page, sec, layout, titled, beside)
            beside = None
        if r.random() < .15:
            page.left(noise(con))
    if r.random() < .6:
        page.blank()
    notes = [noise(con) for _ in range(r.choice((0, 0, 1, 1, 2, 3)))]
    if r.random() < .3:
        for n in notes:
            page.left(n)
        notes = []
    if head.foot:
        head.put(page, head.foot)
    for n in notes:
        getattr(page, r.choice(("left", "left", "centre")))(n)
    page.codes = con.site.codes(grade_of)
    return page
