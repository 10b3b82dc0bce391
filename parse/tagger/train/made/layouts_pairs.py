"""Blocks of labels and values, a block for each record, and lists of a line or two for each."""
from .head import ADVERTS
from .page import glued, plain, wide
from .section import PASSES


def heading(sec, page, row, ids):
    """The line that a block begins with: TANK 2 DIESEL in many forms."""
    con = sec.con
    out, words = [], con.words
    for k in ids:
        c = sec.cell(k, row)
        if c is None:
            continue
        if k.name == "product":
            how = sec.style("product form", "plain", "plain", "plain", "()", "-", ":", "label", "/", ",")
            if how == "()":
                c = glued(plain("("), c, plain(")"))
            elif how in "-/":
                c = plain(how) + c if out else c
            elif how == "label":
                c = glued(plain(words.label(sec.kind, "product")), plain(":")) + c
            elif how in ":," and out:
                out = glued(out, plain(how))
            out = out + c
        elif k.name in ("tank", "line", "sensor"):
            n = con.numbered(con.noun(k.name), c)
            out = out + n if sec.style("id first", True, True, False) or not out else n + out
        else:
            out = out + c
    if not out:
        return
    how = sec.style("block head", "", "", "", "** {} **", "-- {} --", "[{}]", "{}:", "= {}", "* {}", "<{}>", "{} -----", "centre", "right", "kind", "rule")
    if "{" in how:
        a, b = how.split("{}")
        first, last = (plain(a) if a.endswith(" ") else None), (plain(b) if b.startswith(" ") else None)
        out = glued(plain(a), out) if a and first is None else (first or []) + out
        out = glued(out, plain(b)) if b and last is None else out + (last or [])
    elif how == "kind":
        out = plain(words.cased(sec.style("block kind", "test", "report", "record", "status", "data", "entry", "details"))) + out
    if how == "centre":
        page.centre(out)
    elif how == "right":
        page.right(out)
    else:
        page.left(out)
        if how == "rule":
            page.rule(con.rule_mark, 0, sec.style("head rule", None, max(4, wide(out))))


def pair(sec, k, row, label_width=0, value_width=0, line=0):
    """One pair as a span, or None: label, mark, value, unit."""
    con = sec.con
    c = sec.cell(k, row, unit=sec.units in ("row", "head"))
    if c is None:
        if sec.style("show none", True, False, False) and con.none:
            c = plain(con.none)
        else:
            return None
    label = sec.named(k, [row], 0, sec.units == "label")
    if k.field in ("result", "state", "event", "method", "test_rate", "at", "location") and k.part != "clock" and sec.style("bare" + k.name, *([False] * 5 + [True])):
        if k.field == "result" and sec.style("bare test", True, False):
            c = plain(con.words.cased(sec.style("bare word", "test", "**", "*", "=", "-->", "test was"))) + c
        return [], "", c
    mark = sec.style("pair mark", ":", ":", " :", "=", "glue=", "dots", "dots", "dots glued", "", "", "", "[]", "()", "-", ">", "glue:", "reverse", "..", "|", "is")
    if sec.units == "before" and sec.unit(k):
        c = plain(sec.unit(k)) + c
    return label, mark, c


def put_pair(page, parts, col, width, align, label_width):
    """Parts (column, span) of a pair in a place of a width."""
    label, mark, c = parts
    if not label:
        return [(col, c)]
    room = max(width, 1)
    lw = max(label_width, wide(label)) if align != "near" else wide(label)
    if mark == "reverse":
        return [(col, c), (col + min(max(wide(c) + 2, 12), room), label)]
    if mark in ("[]", "()"):
        c = glued(plain(mark[0]), c, plain(mark[1]))
    if mark in ("glue=", "glue:"):
        return [(col, glued(label, plain(mark[-1]), c))]
    if mark in ("dots", "dots glued"):
        if align == "right":
            n = room - wide(label) - wide(c) - 2
        else:
            n = lw + 4 - wide(label)
        dots = plain("." * max(2, n))
        if mark == "dots":
            return [(col, label + dots + c)]
        return [(col, glued(label, dots, c))]
    if mark in (":", "-", ">") and mark == ":":
        label = glued(label, plain(":"))
        mark = ""
    elif mark == " :":
        mark = ":"
    at = col + lw + (1 if align == "near" else 2)
    if align == "right":
        at = max(at, col + room - wide(c))
    if mark and mark not in ("[]", "()"):
        return [(col, label), (col + lw + 1, plain(mark)), (max(at, col + lw + 2 + len(mark)), c)]
    return [(col, label), (at, c)]


def pairs(sec, page, rows, first=True):
    """Blocks of label and value, one to three a line, values beside, under or above their labels."""
    con = sec.con
    r = con.rng
    ids = [k for k in sec.keys if k.name in ("tank", "line", "sensor", "product", "device")]
    headed = sec.style("headed", True, True, True, False) and ids
    if headed and sec.style("one id", False, False, True):
        ids = ids[:1]
    behind = sec.style("behind", *([False] * 14 + [True]))
    rest = [k for k in sec.keys if not headed or k not in ids]
    how = sec.style("pairs", "lines", "lines", "lines", "lines", "lines", "two", "two", "three", "flow", "flow", "under", "over", "bands", "bands")
    align = sec.style("align", "left", "left", "right", "near", "near")
    indent = sec.style("block indent", 0, 0, 0, 1, 2, 3) if headed else 0
    for m, row in enumerate(rows):
        if m or not first:
            gap = sec.style("block gap", "blank", "blank", "blank", "rule", "none" if headed else "blank")
            if gap == "blank":
                page.blank()
            elif gap == "rule":
                page.rule(con.rule_mark)
        count = sec.style("count", *([""] * 24 + ["{n}.", "#{n}", "no {n}", "{n} of {all}", "record {n}", "entry {n}", "- {n} -", "test {n}", "{n}/{all}"]))
        if count:
            page.left(plain(con.words.cased(count.format(n=m + 1, all=len(rows)))))
        if m and sec.style("title again", *([False] * 15 + [True])) and ("title", sec.kind) in con.words.kept:
            page.left(plain(con.words.kept["title", sec.kind]))
        if headed and not behind:
            heading(sec, page, row, ids)
        body(sec, page, row, rest, how, align, indent)
        if headed and behind:
            heading(sec, page, row, ids)
        if sec.style("block note", *([False] * 15 + [True])):
            page.left(plain(con.words.cased(sec.style("note text", *ADVERTS))))


def body(sec, page, row, keys, how, align, indent):
    """The pairs of a record."""
    made = [(k, pair(sec, k, row)) for k in keys]
    made = [(k, p) for k, p in made if p]
    if not made:
        return
    lw = max(wide(p[0]) for _, p in made)
    if how in ("under", "over"):
        for k, (label, mark, c) in made:
            a, b = ((0, label), (sec.style("shift", 0, 0, 2, 4), c))
            for col, s in (a, b) if how == "under" else (b, a):
                page.left(s, indent + col)
        return
    if how == "bands":
        n = sec.style("band", 2, 2, 3, 4)
        while n > 1 and any(sum(max(wide(p[0]), wide(p[2])) + 2 for _, p in made[i:i + n]) > page.width for i in range(0, len(made), n)):
            n -= 1
        over = sec.style("values over", False, False, False, True)
        for i in range(0, len(made), n):
            some = made[i:i + n]
            grid = max(max(wide(p[0]), wide(p[2])) for _, p in made) + 2 if sec.style("band grid", True, False) and n > 1 else 0
            if grid * n > page.width:
                grid = 0
            at, labels, values = indent, [], []
            for k, (label, _, c) in some:
                w = max(wide(label), wide(c))
                labels.append((at, label))
                values.append((at + (w - wide(c) if sec.style("band right", False, True) and k.numeric else 0), c))
                at += grid or w + 2
            for l in (values, labels) if over else (labels, values):
                page.line(*l)
        return
    if how == "flow":
        mark = sec.style("flow mark", "", "", ",", ";", " /", " |", "  ")
        line, out = [], []
        for i, (k, p) in enumerate(made):
            parts = put_pair(page, p, 0, 1, "near", 0)
            span = [w for _, s in parts for w in s]
            if p[1] in ("is", "reverse", "..", "|", "dots", "dots glued"):
                span = p[0] + p[2]
            if i < len(made) - 1 and mark.strip():
                span = glued(span, plain(mark)) if not mark.startswith(" ") else span + plain(mark)
            out.append(span)
        at, parts = indent, []
        for s in out:
            if parts and at + wide(s) > page.width:
                page.line(*parts)
                at, parts = indent + sec.style("hang", 0, 0, 2), []
            parts.append((at, s))
            at += wide(s) + (1 if mark.strip() else 2)
        if parts:
            page.line(*parts)
        return
    n = {"lines": 1, "two": 2, "three": 3}[how]
    vw = max(wide(p[2]) for _, p in made) + (2 if made[0][1][1] in (":", "") else 4)
    while n > 1 and n * (lw + vw + 2) > page.width + 4:
        n -= 1
    w = (page.width - indent) // n
    if n == 1 and align == "right":
        w = min(w, sec.style("right width", 28, 32, 40, 60))
    for i in range(0, len(made), n):
        line = []
        for j, (k, p) in enumerate(made[i:i + n]):
            more = put_pair(page, p, indent + j * w, w - (2 if n > 1 else 0), align, min(lw, page.width))
            if line and sum(wide(s) + 1 for _, s in line + more) > page.width:
                page.line(*line)  # no room for it beside the one before
                line, more = [], [(c - j * w, s) for c, s in more]
            line += more
        if n == 1 and line[-1][0] + wide(line[-1][1]) > page.width and len(line) > 1 and sec.style("break", True, False):
            page.line(*line[:-1])  # the value goes to the next line
            page.left(line[-1][1], min(line[-1][0], 4))
        else:
            page.line(*line)


def entries(sec, page, rows, first=True):
    """A list without headings: a record is a line, or a few, of its values."""
    con = sec.con
    lead = sec.style("lead", "", "", "", "", "{n}", "{n}.", "{n})", "*", "-", "#{n}", "{n:02d}", "{n:03d}", "o", ">")
    aligned = sec.style("aligned", True, True, False)
    labelled = sec.style("labelled", *(["numbers"] * 6 + ["all", "all", "none" if sec.units == "row" else "numbers"]))
    mark = sec.style("entry mark", "", "", "", "", ";", ",", " -", " /", " |", "..")
    per = sec.style("entry lines", 1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 20)
    nouned = sec.style("nouned", True, True, False)
    table = []
    for row in rows:
        spans = []
        for k in sec.keys:
            c = sec.cell(k, row, unit=sec.units != "none" and sec.units != "note")
            if c is None:
                spans.append([])
                continue
            if k.name in ("tank", "line", "sensor") and nouned:
                c = con.numbered(con.noun(k.name), c)
            elif labelled == "all" and k.name != "product" or labelled == "numbers" and (k.numeric and (k.quantity not in ("rate",) or k.field == "threshold") or k.field in PASSES):
                label = sec.named(k, [row], 9, False)
                c = glued(label, plain(sec.style("entry glue", "=", ":"))) + c if sec.style("entry colon", True, False, False) else label + c
            spans.append(c)
        table.append(spans)
    if not table:
        return
    widths = [max(wide(s[i]) for s in table) for i in range(len(sec.keys))]
    size = sum(widths) + len(widths) * (len(mark) + 1) + len(lead) + 3
    across, beside = (sec.style("entries across", 1, 1, 2, 3) if per == 1 else 1), []
    if size * across > page.width + 2:
        across = 1
    for m, spans in enumerate(table):
        start = lead.format(n=sec.count)
        sec.count += 1
        head = plain(start)
        left = wide(head) + 1 if head else 0
        if m and sec.style("entry gap", *([False] * 6 + [True])):
            page.blank()
        n = -(-len(spans) // per)
        lines, now, at = [], [], left
        for i, s in enumerate(spans):
            s = s if not s or not mark or i == len(spans) - 1 else glued(s, plain(mark)) if not mark.startswith(" ") and mark != ".." else s + plain(mark if mark != ".." else "." * sec.style("dots", 3, 5, 7))
            w = widths[i] if aligned else wide(s)
            if now and (at + wide(s) > page.width or per > 1 and len(now) >= n):
                lines.append(now)
                now, at = [], left + sec.style("entry indent", 0, 1, 2, 4)
            if s:
                now.append((at, s))
                at += w + len(mark) + sec.style("entry space", 1, 1, 2)
        lines.append(now)
        if across > 1 and len(lines) == 1:
            beside += [(size * (m % across) + c, s) for c, s in ([(0, head)] if head else []) + lines[0]]
            if m % across == across - 1 or m == len(table) - 1:
                page.line(*beside)
                beside = []
            continue
        for i, l in enumerate(lines):
            if i == 0 and head:
                l = [(0, head)] + l
            if l:
                page.line(*l)
