"""A sheet of paper that words are placed on, each with what it says.

A span is a list of words (text, tags); tags are tuples (kind, field, record).
"""
import json
import re

# As package parse cuts words for the second reading: behind bars, leaders, = and the : behind a letter.
CUTS = re.compile(r"\|+|\.{2,}|=+|(?<=[A-Za-z]):(?=[^:\s])")

# Fields that the same words say: the time of a pass is said of a summary and of a test, which it ends well.
ALIKE = {"first_pass_of_month": "ended_at", "last_pass_at": "ended_at", "result": "ended_at", "grade": "product", "test_class": "test_rate"}
WORDS = ("site", "product", "event", "location", "state", "result", "method", "device")  # fields said without figures


def plain(text):
    """The words of a text, which say no field."""
    return [(w, ()) for w in text.split()]


def told(text, tags):
    """The words of a text, all of which say the same."""
    return [(w, tuple(tags)) for w in text.split()]


def both(*tags):
    """Tags of several lists, none twice, in their order."""
    return tuple(dict.fromkeys(t for some in tags for t in some))


def glued(*spans):
    """Spans written together: the last word of one and the first of the next are one word."""
    out = []
    for span in spans:
        span = list(span)
        if out and span:
            (a, x), (b, y) = out.pop(), span.pop(0)
            out.append((a + b, both(x, y)))
        out += span
    return out


def parted(word):
    """The parts of a word (column, text, tags), each with what it says."""
    col, text, tags = word
    ends = [m.end() for m in CUTS.finditer(text)] + [len(text)]
    parts = [(col + a, text[a:b], ()) for a, b in zip([0] + ends, ends) if any(c.isalnum() for c in text[a:b])]
    if len(parts) < 2:
        return [word]
    says = list(dict.fromkeys(ALIKE.get(field, field) for _, field, _ in tags))
    if len(parts) == len(says) and (says[0] in WORDS or any(c.isdigit() for c in parts[0][1])):
        return [(c, t, tuple(tag for tag in tags if ALIKE.get(tag[1], tag[1]) == say)) for (c, t, _), say in zip(parts, says)]
    return parts[:-1] + [(*parts[-1][:2], tags)]


def wide(span):
    return sum(len(w) for w, _ in span) + max(0, len(span) - 1)


def wrapped(span, width):
    """A span on several lines of at most so many characters."""
    lines, now = [], []
    for w in span:
        if now and wide(now + [w]) > width:
            lines.append(now)
            now = []
        now.append(w)
    return lines + [now] if now or not lines else lines


class Page:
    """Lines of words with their columns; a blank line is kept as a gap before the next."""

    def __init__(self, width):
        self.width, self.lines, self.apart, self.gap = width, [], [], False
        self.codes = {}  # what a field of codes says, by kind, field and record; of a product its grade

    def blank(self):
        self.gap = True

    def line(self, *parts):
        """A line of parts (column, span). What would overlap is moved to the right."""
        words, end = [], 0
        for col, span in parts:
            for i, (text, tags) in enumerate(span):
                if i == 0:
                    col = max(col, end + (1 if words and col < end else 0))
                if words and col == end and i == 0:
                    at, before, had = words.pop()
                    words.append((at, before + text, both(had, tags)))
                    col = end = at + len(before) + len(text)
                else:
                    words.append((col, text, tags))
                    end = col + len(text)
                col = end + 1
        if words:
            self.lines.append(words)
            self.apart.append(self.gap)
            self.gap = False

    def left(self, span, indent=0):
        for i, l in enumerate(wrapped(span, max(8, self.width - indent))):
            self.line((indent, l))

    def centre(self, span):
        for l in wrapped(span, self.width):
            self.line((max(0, (self.width - wide(l)) // 2), l))

    def right(self, span):
        for l in wrapped(span, self.width):
            self.line((max(0, self.width - wide(l)), l))

    def beside(self, pages, size, mark="", edge=False):
        """Pages side by side, each so many columns from the one before."""
        off = 2 if edge else 0
        for k in range(max(len(p.lines) for p in pages)):
            parts = [(0, plain(mark))] if edge else []
            for j, p in enumerate(pages):
                if k < len(p.lines):
                    parts += [(off + j * size + c, [(t, tags)]) for c, t, tags in p.lines[k]]
                    if any(p.apart[k] for p in pages if k < len(p.apart)) and k:
                        self.gap = True
                if mark and (j + 1 < len(pages) or edge):
                    parts.append((off + (j + 1) * size - 2, plain(mark)))
            if parts:
                self.line(*parts)

    def far(self):
        """The column after the last that is printed on."""
        return max([c + len(t) for l in self.lines for c, t, _ in l] or [1])

    def rule(self, mark="-", col=0, width=None):
        self.line((col, [(mark * max(3, width or self.width), ())]))

    def row(self):
        """The printout as learn.py reads it."""
        tags = []
        parts = [[p for w in words for p in parted(w)] for words in self.lines]
        for i, words in enumerate(parts):
            runs = {}
            for j, (_, _, says) in enumerate(words):
                for t in says:
                    if t in runs and runs[t][-1][1] == j - 1:
                        runs[t][-1][1] = j
                    else:
                        runs.setdefault(t, []).append([j, j])
            for (kind, field, n), found in runs.items():
                code = self.codes.get((kind, field, n))
                for a, b in found:
                    run = {"line": i, "from": a, "to": b, "kind": kind, "field": field, "record": n}
                    tags.append(dict(run, value=code) if field != "product" else run)
                    if field == "product" and code:
                        tags.append(dict(run, field="grade", value=code))
        tags.sort(key=lambda t: (t["record"], t["line"], t["from"]))
        lines = [[{"text": "-----" if len(set(t)) == 1 and t[0] in "-=_*~.+#" and len(t) > 4 else t, "col": c, "width": len(t)}
                  for c, t, _ in words] for words in parts]
        return json.dumps({"set": "made", "lines": lines, "apart": self.apart, "tags": tags, "doubtful": [], "missing": []})

    def text(self):
        """The printout as text, and below each line what its words say."""
        out = []
        for words, apart in zip(self.lines, self.apart):
            s = says = ""
            for c, t, tags in words:
                s = s.ljust(c) + t
                if tags:
                    says += f"  {t}:" + "+".join(f"{k[:6]}.{f}#{n}" if n >= 0 else f for k, f, n in tags[:5]) + ("…" if len(tags) > 5 else "")
            out.append(("\n" if apart else "") + s.ljust(max(50, self.width + 2)) + "⟨" + says.strip() + "⟩")
        return "\n".join(out)
