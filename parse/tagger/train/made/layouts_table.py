"""Tables: records are rows, or columns; a record over several printed rows."""
from .page import both, glued, plain, told, wide, wrapped

TEXTS = ("location", "event", "product", "state", "result")


# Two columns under one heading: what may stand above, and above each.
START_END = "start/end;begin/end;before/after;first/last;from/to;open/close;beg/fin;pre/post;1/2"
OVER = {("started_at", "ended_at"): ("time;test time;period;run;when", START_END), ("start_volume", "end_volume"): ("volume;stock;quantity;contents;gauged", START_END),
        ("start_temperature", "end_temperature"): ("temp;temperature;deg;fuel temp", START_END), ("from", "to"): ("period;dates;days;between", "from/to;start/end;first/last;begins/ends"),
        ("passes_24h", "passes_since_midnight"): ("passes;passed tests;tests passed;good tests;count", "24 h/today;last 24 h/since midnight;24 hr/midnight;past day/this day;24h/00:00"),
        ("first_pass_of_month", "last_pass_at"): ("pass;passes;good test;tight", "first/last;1st of month/latest;month first/last"), ("volume", "net_volume"): ("volume;stock;fuel;quantity", "gross/net;observed/standard;raw/corr;actual/tc"),
        ("height", "water_height"): ("height;level;dip;stick", "fuel/water;product/water;total/water"), ("delivered", "net_delivered"): ("delivered;drop;received", "gross/net;actual/std;raw/corrected"),
        ("high_product", "low_product"): ("product;level;stock limits", "high/low;max/min;upper/lower"), ("volume", "water_volume"): ("volume;contents", "fuel/water;product/water")}


def cells_of(sec, rows, keys, limit):
    """The cells of rows as lists of lines."""
    out = []
    sparse = sec.style("sparse", *([False] * 7 + [True])) and not sec.stacked
    ditto = sec.style("ditto", "", "", '"', "''")
    before = {}
    for row in rows:
        line = []
        for k in keys:
            c = sec.cell(k, row, unit=sec.units == "row")
            c = plain(sec.con.none) if c is None else c
            if k.name in ("tank", "line", "sensor") and sec.style("id cell", *([False] * 6 + [True])):
                c = sec.con.numbered(sec.con.noun(k.name), c)
            if sparse and k.name in ("tank", "line", "product", "date", "device", "test_rate", "test_class", "location", "at.date", "ended_at.date"):
                had, text = before.get(k.name), [w for w, _ in c]
                if had is not None and [w for w, _ in had] == text:
                    had[:] = [(w, both(t, u)) for (w, t), (_, u) in zip(had, c)]
                    c = plain(ditto)
                else:
                    c = before[k.name] = list(c)
                    line.append([c])
                    continue
            line.append(wrapped(c, limit) if limit and k.field in TEXTS or limit and k.quantity == "time" and sec.style("wrap times", True, False) else [c])
        out.append(line)
    return out


def hyphened(span, width):
    """A heading with words that are too long cut in two by a hyphen."""
    out = []
    for w, tags in span:
        if len(w) > width and w.isalpha() and width > 3:
            cut = max(3, min(width - 1, len(w) - 2))
            out += [(w[:cut] + "-", tags), (w[cut:], tags)]
        else:
            out.append((w, tags))
    return out


def put(page, lefts, widths, cells, sides, mark, indent, tight=0):
    """A printed row of cells, each a list of lines; as many lines as the tallest has."""
    for i in range(max(1, max(map(len, cells)))):
        parts = []
        if mark and indent:
            parts.append((0 if tight else indent - 2, plain(mark)))
        for left, width, cell, side in zip(lefts, widths, cells, sides):
            side = "l" if tight else side  # that words of two cells do not touch
            if i < len(cell) and cell[i]:
                free = width - wide(cell[i])
                parts.append((left + max(0, free if side == "r" else free // 2 if side == "c" else 0), cell[i]))
            if mark:
                parts.append((left + width + 1 - tight, plain(mark)))
        page.line(*(p for p in parts if p[1]))


def table(sec, page, rows, first=True):
    """Rows of a table with headings, perhaps each over two to four printed rows."""
    con = sec.con
    r, keys = con.rng, sec.keys
    box = sec.style("box", "", "", "", "", "|", "|", ":")
    framed = box and sec.style("framed", True, False)
    tight = 1 if box == "|" and sec.style("tight", False, False, True) else 0
    gap = (1 if tight else 3) if box else sec.style("gap", 1, 1, 2, 2, 3)
    limit = sec.style("wrap", 0, 0, 0, 8, 10, 12)
    few = sum(k.numeric for k in keys) <= (3 if sec.units == "row" else 1)
    heads = sec.style("heads", True, True, True, not few) or sec.units == "head"
    most = sec.style("brief", 5, 6, 7, 9, 12)
    stack = sec.style("stack", 1, 1, 1, 1, 2, 2, 3, 4) if len(keys) > 3 else 1
    sec.stacked = stack > 1
    cells = cells_of(sec, sec.rows, keys, limit)  # all rows of the section, that the widths are the same
    marks = sec.style("code heads", *([False] * 15 + [True]))

    def heading(i, k):
        if marks:
            return [plain("ABCDEFGHIJKLMNOPQRSTUVWXYZ"[i])]
        w = max(most, max(max(map(wide, c[i])) for c in cells))
        unit = sec.unit(k)
        text = sec.with_unit(k, most) if sec.units == "label" else sec.label(k, most)
        w = w if sec.style("narrow", True, True, False) else 30
        span = told(text, sec.said(k, sec.rows if sec.style("all heads", True, False) else rows))
        if sec.style("hyphen", *([False] * 6 + [True])):
            w = max(5, max(max(map(wide, c[i])) for c in cells))
            span = hyphened(span, w)
        lines = wrapped(span, w)
        if sec.units == "head" and unit and unit not in text.split():
            lines.append(plain(sec.style("unit head", "{}", "{}", "({})", "[{}]").format(unit)))
        return lines

    heading_of = [heading(i, k) for i, k in enumerate(keys)]
    over = {}
    if stack == 1 and not marks and sec.style("over heads", *([False] * 3 + [True])):
        for i in range(len(keys) - 1):
            two = OVER.get((keys[i].field, keys[i + 1].field))
            if two and keys[i].part == keys[i + 1].part and i not in over.values():
                tops, sides = two
                sides = [con.words.cased(w) for w in sec.style(f"over{i}", *sides.split(";")).split("/")]
                over[i] = plain(con.words.cased(sec.style(f"top{i}", *tops.split(";"))))
                unit = [plain(sec.unit(keys[i]))] if sec.units == "head" and sec.unit(keys[i]) else []
                heading_of[i], heading_of[i + 1] = ([plain(s)] + unit for s in sides)
    widths = [max([max(map(wide, c[i])) for c in cells] + ([max(map(wide, heading_of[i]))] if heads else [])) for i in range(len(keys))]
    widths = [w + tight for w in widths]
    while stack < 5:
        n = -(-len(keys) // stack)
        if stack > 1 and sec.style("down", False, False, True):
            lines = [list(range(i, len(keys), stack)) for i in range(stack)]
        else:
            lines = [list(range(i * n, min(len(keys), (i + 1) * n))) for i in range(stack)]
        lines = [l for l in lines if l]
        shared = sec.style("grid", True, True, False) or box
        cols = [max(widths[l[j]] for l in lines if j < len(l)) for j in range(max(map(len, lines)))] if shared else None
        size = max(sum(cols[j] if shared else widths[i] for j, i in enumerate(l)) + gap * (len(l) - 1) for l in lines) + (4 - 2 * tight if framed else 0)
        if size <= page.width or len(keys) <= stack:
            break
        stack += 1
        sec.stacked = True
    indent = 2 - tight if framed else sec.style("indent", 0, 0, 0, 1, 2)
    number_side = sec.style("number side", "r", "r", "r", "l", "c")
    text_side = sec.style("text side", "l", "l", "l", "c")
    head_side = sec.style("head side", "", "", "l", "c", "r")
    top = sec.style("head top", False, True)
    further = 0 if shared else sec.style("further", 0, 0, 2, 3)

    def places(l, n):
        w = cols[:len(l)] if shared else [widths[i] for i in l]
        start = indent + (further if n else 0)
        return [start + sum(w[:j]) + gap * j for j in range(len(w))], w

    def rule():
        if framed:
            w = cols
            parts = "+" + "+".join("-" * (x + 2 - 2 * tight) for x in w) + "+"
            page.line((0, plain(parts)))
        else:
            how = sec.style("rule", "line", "line", "under", "none", "none")
            if how == "line":
                page.rule(con.rule_mark, 0, min(page.width, max(size + indent, 12)) if sec.style("full rule", True, False) else None)
            elif how == "under" and stack == 1:
                left, w = places(lines[0], 0)
                page.line(*((a, plain("-" * max(2, b))) for a, b in zip(left, w)))

    if heads and first:
        if framed or sec.style("over rule", True, False):
            rule()
        if over and len(lines) == 1:
            left, w = places(lines[0], 0)
            line = []
            for i, top_ in over.items():
                size_ = left[i + 1] + w[i + 1] - left[i]
                line.append((left[i] + max(0, (size_ - wide(top_)) // 2), top_))
            page.line(*line)
        for n, l in enumerate(lines):
            left, w = places(l, n)
            tall = max(len(heading_of[i]) for i in l)
            cells_ = [heading_of[i] if top else [[]] * (tall - len(heading_of[i])) + heading_of[i] for i in l]
            put(page, left, w, cells_, [head_side or (number_side if keys[i].numeric else text_side) for i in l], box, indent if framed else 0, tight)
        rule()
    spaced = sec.style("spaced", "", "", "", "", "blank", "rule") if stack > 1 or limit else sec.style("spaced1", *([""] * 15 + ["blank", "rule"]))
    for m, row in enumerate(cells_of(sec, rows, keys, limit)):
        if m and spaced == "blank":
            page.blank()
        elif m and spaced == "rule":
            rule()
        for n, l in enumerate(lines):
            left, w = places(l, n)
            put(page, left, w, [row[i] for i in l], [number_side if keys[i].numeric else text_side for i in l], box, indent if framed else 0, tight)
    total = sec.style("total", *([False] * 6 + [True])) and stack == 1 and len(rows) > 1 and any(k.quantity == "volume" and k.field not in ("allowed",) for k in keys)
    if framed or sec.style("foot rule", True, False) or total and r.random() < .5:
        rule()
    if total:
        sums = [[plain(con.forms.number(con.site.number(2000, 60000), "volume"))] if k.quantity == "volume" else [[]] for k in keys]
        if not keys[0].numeric:
            sums[0] = [plain(con.words.cased(sec.style("total word", "total", "sum", "all", "totals", "tot", "site")))]
        left, w = places(lines[0], 0)
        put(page, left, w, sums, ["r" if k.numeric else "l" for k in keys], box, indent if framed else 0, tight)
        if framed:
            rule()
    if marks and heads and first:
        if sec.style("legend gap", True, False):
            page.blank()
        if r.random() < .5:
            page.left(plain(con.words.cased(r.choice(("key", "legend", "where", "columns", "meaning")))))
        for i, k in enumerate(keys):
            page.left(plain("ABCDEFGHIJKLMNOPQRSTUVWXYZ"[i] + sec.style("legend", " ", " = ", ": ", " - ") + sec.with_unit(k)))


def transposed(sec, page, rows, first=True):
    """Records are columns, their labels stand left; as many beside each other as fit."""
    con = sec.con
    ids = [k for k in sec.keys if k.name in ("tank", "line", "sensor", "product")]
    keys = sec.keys if sec.style("ids where", False, False, False, True) else ids + [k for k in sec.keys if k not in ids]
    labels = {k.name: sec.named(k, rows) for k in keys}
    titled = {k.name: k.name in ("tank", "line", "sensor") and sec.style("titled", True, True, False) for k in keys}
    bare = sec.style("bare product", True, False)
    limit = sec.style("twrap", 0, 0, 9, 11)
    after = sec.style("unit after", False, False, True) and sec.units == "row"

    def value(k, row):
        c = sec.cell(k, row, unit=sec.units == "row" and not after)
        if c is None:
            return plain(con.none)
        return con.numbered(con.noun(k.name), c) if titled[k.name] else c

    label_width = max([wide(labels[k.name]) for k in keys if not titled[k.name]] or [0])
    if sec.style("narrow labels", True, False, False) and label_width > 12:
        label_width = 12
    cells = {(k.name, i): value(k, row) for k in keys for i, row in enumerate(rows)}
    need = max(min(wide(c), limit or 99) if k.field in TEXTS or k.quantity == "time" else wide(c) for k in keys for i in range(len(rows)) for c in [cells[k.name, i]])
    gap, mark = sec.style("tgap", 1, 2, 2, 3), sec.style("tbox", "", "", "", "|", ":")
    gap = 3 if mark else gap
    room = max(1, (page.width - label_width) // (need + gap))
    side = sec.style("tside", "r", "r", "l", "c")
    colon = sec.style("tcolon", "", "", ":", " :")
    behind = sec.style("labels behind", *([False] * 7 + [True]))
    for b, start in enumerate(range(0, len(rows), room)):
        some = range(start, min(len(rows), start + room))
        if b and sec.style("block gap", True, True, False):
            page.blank()
        for j, k in enumerate(keys):
            label = [] if titled[k.name] or k.name == "product" and bare else labels[k.name]
            if label and colon:
                label = glued(label, plain(":")) if colon == ":" else label + plain(":")
            label = wrapped(label, label_width + len(colon)) if label_width else [label]
            lines = [wrapped(cells[k.name, i], need) for i in some]
            for n in range(max(len(label), max(map(len, lines)))):
                left = 0 if behind else label_width + len(colon) + gap
                parts = []
                if n < len(label) and label[n]:
                    parts.append((left + len(lines) * (need + gap) if behind else 0, label[n]))
                for c, l in enumerate(lines):
                    at = left + c * (need + gap)
                    if mark:
                        parts.append((at - 2, plain(mark)))
                    if n < len(l) and l[n]:
                        free = need - wide(l[n])
                        parts.append((at + max(0, free if side == "r" else free // 2 if side == "c" else 0), l[n]))
                if after and n == 0 and sec.unit(k):
                    parts.append((left + len(lines) * (need + gap), plain(sec.unit(k))))
                parts.sort(key=lambda p: p[0])
                page.line(*(p for p in parts if p[1]))
            if k in ids and (j + 1 == len(keys) or keys[j + 1] not in ids) and sec.style("trule", True, False, False):
                page.rule(con.rule_mark)
        if sec.style("tend", False, False, True):
            page.rule(con.rule_mark)
