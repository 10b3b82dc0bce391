"""Finds the words of a printout that say a wanted value which the grammar did not read.

A value may stand at several places, and several records may want the same one. Each record
takes the place that is nearest to what is known of it: on its lines, or in its columns.
"""
import re

MONTHS = "jan feb mar apr may jun jul aug sep oct nov dec".split()
NAME = re.compile(r"(jan(uary)?|feb(ruary)?|mar(ch)?|apr(il)?|may|june?|july?|aug(ust)?|sept?(ember)?|oct(ober)?|nov(ember)?|dec(ember)?)$")
ALSO = ("grade", "test_class", "method", "device")  # a word says them besides another field
SENSES = {"result": "result", "method": "method", "device": "device", "sensor_status.state": "sensor_state", "alarm.state": "alarm_state"}
# Words that tell how a tank was tested, beside those of the lexicon.
METHODS = {
    "static": re.compile(r"(at|rest|rest(ing|ed)|still|stand(ing)?|stood|quiet|idle|closed|shut|shutdown|asleep|sleeping|undisturbed|static|nothing|not)$"),
    "continuous": re.compile(r"(open|trading|trade|moving|running|run|live|ongoing|always|selling|sales|working|rolling|business|watch|continu\w+)$"),
}
FILLERS = ("at", "not", "nothing", "run", "watch", "stand", "trade")  # tell nothing by themselves
CLASSES = {"0.1": (0.1, 0.38, 0.379, 0.4), "0.2": (0.2, 0.76, 0.757, 0.8), "3.0": (3, 11.4, 11.36)}  # gal/h, L/h
PASSES = ("ended_at", "first_pass_of_month", "last_pass_at")
FAR = 1e9
EDGES = ".:=,;()[]*#|\"'"


def digits(text):
    return re.findall(r"\d+", text)


def number(text):
    """The figures of a number without marks of thousands, units or sign; None for no number."""
    m = re.fullmatch(r"[^\d.,]{0,2}([\d][\d.,']*|[.,]\d+)\s*[A-Za-z%°/]*[-+]?", text)
    if not m:
        return None
    s = m.group(1).rstrip(".,")
    marks = re.findall(r"[.,']", s)
    if len(marks) > 1 or marks and marks[-1] == "," and re.search(r",\d{3}$", s) or "'" in marks:
        last = s[-4] if len(s) > 3 and s[-4] in ".,'" else ""
        if last and len(set(marks)) == 1:
            return float(re.sub(r"[.,']", "", s))
    s = re.sub(r"[.,'](?=.*[.,])", "", s).replace(",", ".")
    try:
        return float(s)
    except ValueError:
        return None


def says_date(text, at):
    """Whether a word is a date, or a part of one, of a moment 2006-01-02T15:04."""
    year, month, day = at[:4], int(at[5:7]), int(at[8:10])
    low = text.lower()
    if any(c.isalpha() for c in low):
        named = re.findall(r"[a-z]+", low)
        if len(named) != 1 or len(named[0]) < 3 or named[0][:3] != MONTHS[month - 1] or not NAME.match(named[0]):
            return False
        return all(int(d) in (day, int(year), int(year) % 100) for d in digits(low))
    d = digits(low)
    if len(d) == 1 and len(d[0]) in (6, 8):
        y2 = year[2:]
        mm, dd = f"{month:02}", f"{day:02}"
        return d[0] in {mm + dd + y2, dd + mm + y2, y2 + mm + dd, year + mm + dd, mm + dd + year, dd + mm + year}
    if len(d) < 2 or len(d) > 3 or ":" in low:
        return False
    have = [int(x) for x in d]
    return month in have and day in have and (len(have) == 2 or any(x in (int(year), int(year) % 100) for x in have))


def says_clock(text, at):
    """Whether a word is the time of day of a moment; seconds may be left out or be more."""
    m = re.fullmatch(r"(\d{1,2})[:.h]?(\d{2})(?:[:.](\d{2}))?\s*([apAP])?\.?[mM]?\.?(?:[Hh](?:rs)?)?", text)
    if not m or len(at) < 16:
        return False
    hour, minute, half = int(m.group(1)), int(m.group(2)), (m.group(4) or "").lower()
    if minute != int(at[14:16]):
        return False
    want = int(at[11:13])
    if half:
        return hour % 12 + (12 if half == "p" else 0) == want
    return hour == want or hour % 12 == want % 12


def alike(kind, field):
    """The kinds and fields of words that say a field: a pass of a summary is a test of its own as well."""
    out = [(kind, field)]
    if kind in ("line_test", "line_summary"):
        other = "line_summary" if kind == "line_test" else "line_test"
        fields = PASSES if field in PASSES else (field,)
        out += [(k, f) for k in (kind, other) for f in fields]
    return out


def spans(words, want, free, phrases):
    """The runs of free words that say a wanted value: lists of numbers of words."""
    value, field = want["value"], want["field"]
    core = [w[0].strip(EDGES) for w in words]
    n = len(core)
    if field == "test_class":
        return [[i] for i in range(n) if free(i) and number(core[i]) in CLASSES[value]]
    sense = SENSES.get(field) or SENSES.get(want["kind"] + "." + field)
    if sense:
        out, end = [], -1
        for i in range(n):
            for many in (4, 3, 2, 1):
                run = list(range(i, i + many))
                if i > end and run[-1] < n and all(free(j) and words[j][1] == words[i][1] for j in run) \
                        and " ".join(core[j].lower() for j in run) in phrases.get((sense, value), ()):
                    out.append(run)
                    end = run[-1]
                    break
        return out if out or field != "method" else methods(words, core, METHODS[value], free)
    if isinstance(value, (int, float)):
        out = [[i] for i in range(n) if free(i) and (v := number(core[i])) is not None and abs(v - abs(value)) < 1e-9]
        for i in range(n - 1):  # 36 400
            if free(i) and free(i + 1) and words[i][1] == words[i + 1][1] and re.fullmatch(r"[-+]?\d{1,3}", core[i]) \
                    and re.fullmatch(r"\d{3}([.,]\d+)?", core[i + 1]) and number(core[i].strip("+-") + core[i + 1]) == abs(value):
                out.append([i, i + 1])
        return out
    if re.fullmatch(r"\d{4}-\d\d-\d\d(T.*)?", value):
        beside = lambda i, j: j < n and free(j) and words[j][1] == words[i][1]
        out = []
        for i in range(n):
            if not free(i):
                continue
            if want["part"] == "clock":
                if says_clock(core[i], value):
                    half = beside(i, i + 1) and re.fullmatch(r"[ap]\.?m?", core[i + 1].lower())
                    out.append([i, i + 1] if half else [i])
                continue
            if not says_date(core[i], value):
                continue
            run = [i]
            if not digits(core[i]):  # 3 Mar 2011, Mar 3 2011
                part = lambda j: core[j].isdigit() and int(core[j]) in (int(value[8:10]), int(value[:4]), int(value[2:4]))
                while beside(run[-1], run[-1] + 1) and part(run[-1] + 1) and len(run) < 3:
                    run.append(run[-1] + 1)
                if run[0] > 0 and beside(run[0], run[0] - 1) and part(run[0] - 1):
                    run.insert(0, run[0] - 1)
            out.append(run)
        return out
    if field in ("tank", "line", "sensor", "device_number", "site_number"):
        value = value.lower()
        return [[i] for i in range(n) if free(i) and (core[i].lower() == value or core[i].lower().lstrip("0") == value.lstrip("0")
                or re.fullmatch(r"[a-z]{1,6}[-#.:]?0*" + re.escape(value), core[i].lower()))]
    parts = value.split()
    out = []
    same = lambda a, b: a.strip(EDGES).lower() == b.strip(EDGES).lower()
    for i in range(n):
        if not free(i) or not same(core[i], parts[0]):
            continue
        run = [i]
        for part in parts[1:]:
            here = words[run[-1]]
            nexts = [j for j in range(run[-1] + 1, min(run[-1] + 30, n)) if free(j) and same(core[j], part)
                     and (words[j][1] == here[1] and j == run[-1] + 1 or 0 < words[j][1] - here[1] <= 2)]
            if not nexts:
                break
            run.append(nexts[0])
        if len(run) == len(parts):
            out.append(run)
    return out


def methods(words, core, told, free):
    """The runs of free words that tell how a tank was tested by words that the lexicon does not have."""
    out = []
    for i in range(len(core)):
        if not free(i) or not told.match(core[i].lower()):
            continue
        if out and out[-1][-1] == i - 1 and words[i][1] == words[i - 1][1]:
            out[-1].append(i)
        else:
            out.append([i])
    return [run for run in out if any(core[i].lower() not in FILLERS for i in run)]


def far(words, run, known):
    """How far a run is from the known words of a record: lines, or columns where it is beside them."""
    _, line, left, width = words[run[0]]
    best = FAR
    for k in known:
        _, l, a, b = words[k]
        lines, gap = abs(l - line), max(0, a - (left + width), left - (a + b))
        best = min(best, lines + gap / 10, 1.5 * lines + gap / 40)
    return best


def align(words, said, missing, phrases):
    """Finds the words of values that were missing.

    words are text, line, column and width of each; said, the kind, field and record that each
    says with its value, gets what is found; missing are wanted values with their kind, field and record;
    phrases, the words of codes by sense and code.
    """
    wants = []
    for m in missing:
        if m["field"] == "grade" or m["field"] == "test_class" and any(x[1:3] == ("test_rate", m["record"]) for of in said for x in of):
            continue  # the product and the rate say it
        moment = isinstance(m["value"], str) and re.fullmatch(r"\d{4}-\d\d-\d\dT.*", m["value"])
        wants += [dict(m, part=part) for part in (("date", "clock") if moment else ("",))]
    known = {}
    for w, of in enumerate(said):
        for _, _, r, _ in of:
            known.setdefault(r, []).append(w)
    choices = []
    for k, m in enumerate(wants):
        same = set(alike(m["kind"], m["field"]))
        free = lambda i: all((kind, field) in same or field in ALSO or m["field"] in ALSO for kind, field, _, _ in said[i])
        for run in spans(words, m, free, phrases):
            near = far(words, run, known.get(m["record"], [])) if m["record"] >= 0 else run[0] / 1000
            if near == FAR:
                near = 5 + abs(m["record"] * 3 - words[run[0]][1]) / 10
            used = any((m["kind"], m["field"]) == x[:2] for x in said[run[0]])
            choices.append((near + (2 if used else 0), k, run, same))
    choices.sort(key=lambda c: c[:2])
    done, taken = set(), {}  # what a run was taken for, by its first word
    for shared in (False, True):
        for _, k, run, same in choices:
            m, what = wants[k], (wants[k]["kind"], wants[k]["field"])
            before = taken.get((run[0], m["field"] in ALSO))
            if k in done or before and (before not in same or before == what and not shared):
                continue
            if m["field"] not in ALSO and not all(x[:2] in same or x[1] in ALSO for w in run for x in said[w]):
                continue
            done.add(k)
            taken[run[0], m["field"] in ALSO] = what
            for w in run:
                said[w].append((*what, m["record"], m["value"]))
