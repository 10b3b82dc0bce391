"""Sentences, tables of before and after, blocks side by side, sums, sensors in rows."""
from .layouts_pairs import body, entries, heading, pairs
from .layouts_table import table, transposed
from .page import Page, both, glued, plain, told, wide, wrapped

PHRASES = {
    "volume": "holds {v}; contains {v}; has {v} in it; stock is {v}; {v} on hand; with {v} in the tank; {v} in store; we hold {v}; measured {v}",
    "net_volume": "or {v} net; {v} corrected; which is {v} at standard temperature; net {v}; making {v} after correction; that is {v} compensated",
    "ullage": "room for {v}; leaving {v} free; can take {v} more; ullage {v}; {v} still empty; {v} may be added; with space for {v}",
    "capacity": "of {v} capacity; out of {v}; full at {v}; built for {v}; the tank takes {v}; when full {v}; holding {v} at most",
    "height": "level {v}; fuel stands {v} high; at a depth of {v}; dip {v}; the dip being {v}; fuel up to {v}",
    "water_height": "water {v}; with {v} of water below; water stands at {v}; above {v} of water; {v} water at the bottom",
    "water_volume": "water amounts to {v}; {v} of water; water quantity {v}",
    "temperature": "at {v}; temperature {v}; fuel at {v}; the fuel has {v}; average {v}",
    "at": "read at {v}; as of {v}; on {v}; at {v}; taken {v}; since {v}; seen {v}; {v}",
    "started_at": "began {v}; started at {v}; from {v}; begun {v}; starting {v}; it set out at {v}",
    "ended_at": "ended {v}; finished at {v}; to {v}; until {v}; was over by {v}; came to an end {v}",
    "duration": "lasted {v}; took {v}; over {v}; ran {v}; for {v}; after {v}",
    "test_rate": "tested for {v}; at {v}; in a {v} test; under the {v} test; checked to {v}; looking for {v}",
    "test_class": "in the {v} test; at {v}; for the {v} test; of the {v} test; tested to {v}",
    "method": "by {v} method; ({v}); method {v}; done {v}; in {v} mode",
    "start_volume": "with {v} at the start; from {v}; held {v} before; began at {v}; {v} was in it before",
    "end_volume": "and {v} at the end; to {v}; held {v} after; ended at {v}; {v} was in it after",
    "percent_full": "{v} full; filled to {v}; at {v} of capacity; the tank being {v} full",
    "leak_rate": "measured {v}; rate {v}; the change was {v}; a rate of {v} was found; found {v}; losing {v}",
    "threshold": "against a limit of {v}; limit {v}; allowed {v}; where {v} would fail; threshold {v}",
    "result": "result {v}; test {v}; was {v}; the verdict is {v}; and {v}; outcome: {v}; it {v}; so {v}",
    "pressure": "at {v}; held {v}; line at {v}; under {v}; pressure {v}; pumped up to {v}",
    "passes_24h": "passed {v} times in the last 24 hours; {v} passes in 24 h; in the past day {v} passes; has passed {v} tests in 24 h; was tight {v} times last day",
    "passes_since_midnight": "{v} since midnight; of these {v} today; {v} times since midnight; today {v} times; and {v} from 00:00",
    "first_pass_of_month": "first pass this month {v}; first passed this month on {v}; the month's first pass was {v}; earliest pass of month {v}",
    "last_pass_at": "last passed {v}; its last pass was {v}; most recent pass {v}; passed last on {v}; latest good test {v}",
    "earlier": "the pass before was {v}; previous pass {v}; passed before on {v}; last month {v}",
    "state": "is {v}; shows {v}; reads {v}; reports {v}; {v}; was {v}; ({v}); now {v}",
    "location": "in {v}; ({v}); at {v}; watching {v}; of {v}; fitted to {v}",
    "event": "{v}; had {v}; reports {v}; {v} seen; alarm {v}; because of {v}",
    "delivered": "{v} delivered; took {v}; received {v}; gained {v}; a drop of {v}; {v} came in; in all {v}",
    "net_delivered": "net {v}; {v} net; corrected {v}; or {v} at standard",
    "start_temperature": "from {v}; temperature before {v}; fuel was at {v}; cold at {v}",
    "end_temperature": "to {v}; after {v}; now at {v}; temperature after {v}",
    "from": "from {v}; since {v}; between {v}; starting {v}; for the time {v}",
    "to": "to {v}; until {v}; and {v}; through {v}; ending {v}",
    "opening": "opened with {v}; began with {v}; {v} at opening; from a stock of {v}",
    "sold": "sold {v}; pumped out {v}; {v} went out; less {v} sold; dispensed {v}",
    "closing": "closed at {v}; ended with {v}; {v} at close; gauge shows {v}; left {v}",
    "over_short": "variance {v}; off by {v}; difference {v}; gain or loss {v}; {v} unaccounted",
    "allowed": "{v} allowed; within {v} permitted; tolerance {v}; of {v} allowed",
    "product": "({v}); of {v}; with {v}; {v}; holding {v}; - {v}",
    "sensor": "sensor {v}; no {v}; point {v}", "tank": "tank {v}", "line": "line {v}", "device": "{v}; at {v}; on {v}; concerning {v}",
}
PHRASES = {k: [p.strip() for p in v.split(";")] for k, v in PHRASES.items()}
PHRASES["other"] = ["{l} {v}", "{l} at {v}", "{l} is {v}", "{l} set to {v}", "the {l} being {v}", "{l}: {v}", "with {l} {v}"]


def filled(template, tags=(), **spans):
    """A template's words with spans in the places of {names}."""
    out = []
    for w in template.split():
        for name, span in spans.items():
            if "{" + name + "}" in w:
                a, b = w.split("{" + name + "}")
                out += glued(plain(a), span, plain(b))
                break
        else:
            out += told(w, tags if "pass" in w or w == "good" else ())
    return out


def sentences(sec, page, rows, first=True):
    """Each record in words, wrapped at the width."""
    con, r = sec.con, sec.con.rng
    low = sec.style("sentence case", "upper", "first", "first", "lower")
    whole = []
    hang = sec.style("hang", 0, 0, 1, 2)
    for m, row in enumerate(rows):
        clauses = []
        for k in sec.keys:
            c = sec.cell(k, row, unit=True)
            if c is None:
                continue
            if k.name in ("tank", "line", "sensor"):
                c = con.numbered(con.noun(k.name), c)
                clauses.append((k, c))
                continue
            choices = PHRASES.get(k.field, PHRASES["other"])
            template = sec.style("phrase" + k.name, *(choices * 4 + PHRASES["other"][:3]) if k.part != "date" else ("on {v}", "{v}", "dated {v}"))
            template = " ".join(p if "{" in p else con.words.cased(p, "upper" if low == "upper" else "lower") for p in template.split())
            clauses.append((k, filled(template, sec.said(k, [row]), v=c, l=plain(sec.label(k)))))
        marks = [sec.style(f"mark{i}", ",", ",", ",", ";", "", " and", ".", " -") for i in range(len(clauses))]
        out = []
        for i, (k, c) in enumerate(clauses):
            last = i == len(clauses) - 1
            mark = sec.style("stop", ".", ".", ".", "", ";") if last else "" if k.name in ("tank", "line", "sensor") and sec.style("subject", True, True, False) else marks[i]
            if mark.startswith(" "):
                out += c + plain(con.words.cased(mark.strip(), "upper" if low == "upper" else "lower"))
            else:
                out += glued(c, plain(mark))
        if low == "first" and out and not out[0][1]:
            out[0] = out[0][0][:1].upper() + out[0][0][1:], out[0][1]
        if sec.style("run on", *([False] * 5 + [True])):
            whole += out
            continue
        if m and sec.style("gap between", True, True, False):
            page.blank()
        start = plain(sec.style("bullet", "", "", "", "-", "*", ">", "{n}.").format(n=sec.count))
        sec.count += 1
        lines = wrapped(start + out, page.width - hang)
        for i, l in enumerate(lines):
            page.line((hang if i else 0, l))
    if whole:
        page.left(whole)


SIDES = ("before/after;start/end;begin/finish;from/to;opening/closing;initial/final;pre/post;at start/at end;first/last;started/ended;open/close;1/2;began/done;beg/fin;prior/now;empty/filled;in/out").split(";")
PAIRS = [("started_at", "ended_at"), ("from", "to"), ("start_volume", "end_volume"), ("opening", "closing"), ("start_temperature", "end_temperature")]


def matrix(sec, page, rows, first=True):
    """Before and after beside each other (or below), what is neither as pairs around."""
    con, words = sec.con, sec.con.words
    sides = [words.cased(w) for w in sec.style("sides", *SIDES).split("/")]
    quantity = {}
    used = []
    for a, b in PAIRS:
        for part in ("", ".date", ".clock"):
            ka, kb = sec.key(a + part), sec.key(b + part)
            if ka and kb:
                sort = "date" if part == ".date" else "time" if part == ".clock" or a in ("started_at", "from") else "volume" if a in ("start_volume", "opening") else "temperature"
                quantity[sort, part] = ka, kb
                used += [ka, kb]
    if not quantity:
        return pairs(sec, page, rows, first)
    ids = [k for k in sec.keys if k.name in ("tank", "line", "product")]
    rest = [k for k in sec.keys if k not in used and k not in ids]
    early = rest[:sec.style("early", 0, 0, 1, 2)]
    late = [k for k in rest if k not in early]
    turned = sec.style("turned", False, False, True)
    align = sec.style("align", "left", "left", "right", "near")
    how = sec.style("rest", "lines", "lines", "two", "flow", "under", "bands")
    mark = sec.style("mbox", "", "", "", "|", ":")

    def label(sort, k):
        if sort in ("date", "time"):
            return words.cased(sec.style("word" + sort, *{"date": ("date", "day", "dt"), "time": ("time", "clock", "at", "tm", "date/time", "when")}[sort]))
        text = words.label("inventory", sort)
        u = sec.unit(k)
        return f"{text} {u}" if sec.units in ("label", "head") and u else text

    for m, row in enumerate(rows):
        if m or not first:
            page.blank() if sec.style("block gap", True, True, False) else page.rule(con.rule_mark)
        if ids:
            heading(sec, page, row, ids)
        body(sec, page, row, early, how, align, 0)
        labels = [label(sort, ks[0]) for (sort, _), ks in quantity.items()]
        cells = [[sec.cell(k, row, unit=sec.units == "row") or plain(con.none) for k in ks] for ks in quantity.values()]
        if turned:
            left = [plain(s) for s in sides]
            top = [plain(l) for l in labels]
            grid = [[cells[j][i] for j in range(len(cells))] for i in range(2)]
        else:
            left = [plain(l) for l in labels]
            top = [plain(s) for s in sides]
            grid = cells
        bare = sec.style("no left", *([False] * 7 + [True])) and not turned
        lw = 0 if bare else max(map(wide, left)) + sec.style("mgap", 1, 2, 3)
        widths = [max([wide(top[j])] + [wide(g[j]) for g in grid]) + (3 if mark else sec.style("mcol", 1, 2, 3)) for j in range(len(top))]
        side = sec.style("mside", "r", "l")
        place = lambda j, c: lw + sum(widths[:j]) + (widths[j] - (3 if mark else 1) - wide(c) if side == "r" else 0) + (2 if mark else 0)
        marks = [(lw + sum(widths[:j]), plain(mark)) for j in range(len(top))] if mark else []
        line = lambda parts: page.line(*sorted([p for p in parts if p[1]], key=lambda p: p[0]))
        line([(place(j, c), c) for j, c in enumerate(top)] + marks)
        if sec.style("mrule", True, False, False):
            page.rule(con.rule_mark)
        for l, g in zip(left, grid):
            line([(0, [] if bare else l)] + [(place(j, c), c) for j, c in enumerate(g)] + marks)
        if sec.style("mrule2", True, False, False):
            page.rule(con.rule_mark)
        body(sec, page, row, late, how, align, 0)


def panels(sec, page, rows, first=True):
    """Blocks side by side, two or three across."""
    con = sec.con
    mark = sec.style("pbox", "", "", "", "|", "|", ":", "!")
    inner = sec.style("inner", pairs, pairs, pairs, entries)
    sec.styles.setdefault("block head", "")
    sec.styles.setdefault("pairs", con.rng.choice(("lines", "lines", "lines", "under", "bands")))
    sec.styles.setdefault("align", con.rng.choice(("left", "near", "left")))
    if first:
        page.width = max(page.width, sec.style("panel width", 32, 40, 44, 48))
        sec.short = sec.short or sec.style("panel short", 6, 7, 9)
        sec.styles.setdefault("pair mark", con.rng.choice((":", "", "", "", "=", "glue=", "..")))
    sheets = []
    for row in rows:
        p = Page(max(12, page.width // sec.style("across", 2, 2, 3, 4) - 2))
        inner(sec, p, [row])
        sheets.append(p)
    size = max(p.far() for p in sheets) + (3 if mark else sec.style("pgap", 2, 2, 3, 4))
    n = max(1, min(sec.style("across", 2, 2, 3, 4), page.width // size))
    if sec.style("even", True, False) and n > 1:
        size = max(size, page.width // n)
    edge = mark and sec.style("edge", True, False)
    rule = mark and sec.style("panel rule", True, False)
    for i in range(0, len(sheets), n):
        some = sheets[i:i + n]
        if i and not rule and sec.style("panel gap", True, True, False):
            page.blank()
        if rule:
            page.line((0, plain(("+" + "-" * (size - 1)) * n + "+")))
        page.beside(some, size, mark, edge)
    if rule:
        page.line((0, plain(("+" + "-" * (size - 1)) * n + "+")))


SIGNS = {"opening": "", "delivered": "+", "sold": "-", "closing": "=", "over_short": "", "allowed": "", "start_volume": "-", "end_volume": "", "net_delivered": "", "volume": "", "ullage": "+", "capacity": "="}


def sums(sec, page, rows, first=True):
    """Values as in a sum: signs before, labels behind or before, rules between."""
    con = sec.con
    ids = [k for k in sec.keys if k.name in ("tank", "line", "product")]
    rest = [k for k in sec.keys if k not in ids and k.quantity == "volume"]
    others = [k for k in sec.keys if k not in ids and k not in rest]
    if len(rest) < 3:
        return pairs(sec, page, rows, first)
    before = sec.style("label first", True, False)
    how, align = sec.style("rest", "lines", "lines", "flow", "bands"), sec.style("align", "left", "near")
    for m, row in enumerate(rows):
        if m or not first:
            page.blank()
        if ids:
            heading(sec, page, row, ids)
        body(sec, page, row, others[:len(others) // 2], how, align, 0)
        made = [(k, sec.cell(k, row, unit=sec.units == "row")) for k in rest]
        made = [(k, c) for k, c in made if c]
        w = max([wide(c) for _, c in made] or [0])
        lw = max([wide(sec.named(k, [row], 0, sec.units == "label")) for k, _ in made] or [0])
        for k, c in made:
            label = sec.named(k, [row], 0, sec.units == "label")
            sign = plain(SIGNS.get(k.field, "") if sec.style("signs", True, True, False) else "")
            if k.field in ("closing", "end_volume") and sec.style("sum rule", True, True, False):
                page.rule("-", lw + 2 if before else 0, w + 2)
            if sign and sec.style("sign glued", False, False, True):
                c = glued(sign, c)
                sign = []
            at = lw + 3 if before else 2
            parts = [(at - 2, sign)] if sign else []
            parts.append((at + w - wide(c), c))
            if before:
                parts.insert(0, (0, label))
            else:
                parts.append((at + w + 2, label))
            page.line(*(p for p in parts if p[1]))
        body(sec, page, row, others[len(others) // 2:], how, align, 0)


def grid(sec, page, rows, first=True):
    """Alarms in a table of events by devices: what each is, and when, where they cross."""
    con = sec.con
    device, event, state = sec.key("device"), sec.key("event"), sec.key("state")
    times = [k for k in sec.keys if k.quantity == "time"]
    if not device or not event or not state or len(sec.keys) > 3 + len(times):
        return table(sec, page, rows, first)
    columns, lines = {}, {}
    for row in rows:
        d, e = sec.text(device, row), sec.text(event, row)
        columns.setdefault(d, []).append(row)
        lines.setdefault(e, []).append(row)
    if len(columns) * len(lines) > 16 or any(len({id(r) for r in columns[d]} & {id(r) for r in lines[e]}) > 1 for d in columns for e in lines):
        return table(sec, page, rows, first)
    merged = lambda key, some: [(w, both(*(c[i][1] for c in cells))) for cells in [[sec.cell(key, r) for r in some]] for i, (w, _) in enumerate(cells[0])]
    tops = {d: merged(device, some) for d, some in columns.items()}
    left = {e: merged(event, some) for e, some in lines.items()}
    lw = max(map(wide, left.values())) + 2
    what = [state] + times if sec.style("state first", True, True, False) else times + [state]
    cells = {(d, e): [sec.cell(k, r) or [] for k in what] for d in columns for e in lines for r in columns[d] if r in lines[e]}
    w = max([wide(t) for t in tops.values()] + [wide(x) for c in cells.values() for x in c]) + sec.style("ggap", 1, 2, 3)
    page.line(*((lw + i * w, tops[d]) for i, d in enumerate(columns)))
    if sec.style("grule", True, False):
        page.rule(con.rule_mark)
    none = plain(con.none)
    for e in lines:
        for n in range(len(what)):
            parts = [(0, left[e])] if n == 0 else []
            for i, d in enumerate(columns):
                c = cells[d, e][n] if (d, e) in cells else none if n == 0 else []
                if c:
                    parts.append((lw + i * w, c))
            if parts:
                page.line(*parts)


def split(sec, page, rows, first=True):
    """The columns in two or three tables, one below the other, each with the numbers of the tanks."""
    keys = sec.keys
    ids = [k for k in keys if k.name in ("tank", "line", "sensor")]
    rest = [k for k in keys if k not in ids]
    if not ids or len(rest) < 3 or len(rows) < 2:
        return table(sec, page, rows, first)
    n = sec.style("parts", 2, 2, 3)
    size = -(-len(rest) // n)
    inner = sec.style("part", table, table, table, transposed, entries)
    sec.styles["stack"] = 1
    for i in range(0, len(rest), size):
        if i and sec.style("part gap", True, True, False):
            page.blank()
        sec.keys = ids + rest[i:i + size]
        inner(sec, page, rows, True)
    sec.keys = keys


def by_field(sec, page, rows, first=True):
    """For each field its label, and below it a line for each tank."""
    con, keys = sec.con, sec.keys
    ids = [k for k in keys if k.name in ("tank", "line", "sensor")][:1]
    rest = [k for k in keys if k not in ids]
    if not ids or len(rows) < 2:
        return pairs(sec, page, rows, first)
    units = sec.units != "label"
    nouned, indent = sec.style("field noun", True, False), sec.style("field indent", 0, 1, 2, 3)
    mark, col = sec.style("field mark", "", "", ":", "=", "-"), sec.style("field right", True, False)
    for i, k in enumerate(rest):
        if i and sec.style("field gap", False, False, True):
            page.blank()
        label = sec.named(k, rows, 0, sec.units == "label")
        page.left(glued(label, plain(":")) if sec.style("field colon", True, False) else label)
        made = [(sec.cell(ids[0], row), sec.cell(k, row, unit=units)) for row in rows]
        made = [(con.numbered(con.noun(ids[0].name), a) if nouned else a, c or plain(con.none)) for a, c in made if a]
        aw, w = max(wide(a) for a, _ in made) if made else 0, max(wide(c) for _, c in made) if made else 0
        if sec.style("field line", False, False, True) and sum(wide(a) + wide(c) + 3 for a, c in made) < page.width:
            at, parts = indent, []
            for a, c in made:
                span = glued(a, plain(mark)) + c if mark else a + c
                parts.append((at, span))
                at += wide(span) + 2
            page.line(*parts)
            continue
        for a, c in made:
            a = glued(a, plain(mark)) if mark in ":=" and mark else a
            page.line(*(p for p in ((indent, a), (indent + aw + len(mark) + 1 + (w - wide(c) if col else 0), c)) if p[1]))
