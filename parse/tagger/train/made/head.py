"""The head of a printout, at its top or foot, and lines that say no field."""
from .page import glued, plain, told, wide
from .words import FIRST, LAST


def tag(field):
    return (("header", field, -1),)


class Head:
    """Site, number, address and time of printing of a slip, and how they are written."""

    def __init__(self, con):
        self.con = con
        r, words, forms = con.rng, con.words, con.forms
        self.parts = []  # lines of spans
        site = told(words.site(), tag("site")) if r.random() < .88 else None
        digits = r.choice((1, 2, 3, 4, 4, 4, 5, 6))
        number = str(r.randrange(10 ** digits)).zfill(digits)
        if r.random() < .07:
            number = r.choice("ABKLNSTW") + r.choice(("", "-")) + number
        number = told(number, tag("site_number")) if r.random() < .6 else None
        printed = forms.moment(con.site.now, True, True) if r.random() < .93 else forms.date(con.site.now, True, True)
        printed = told(printed, tag("printed_at")) if r.random() < .85 else None
        address = [told(a, tag("address")) for a in words.address()] if r.random() < .6 else []
        if address and r.random() < .3:
            address = address[1:] if r.random() < .5 else address[:1]
        if len(address) == 2 and r.random() < .5:
            address = [glued(address[0], plain(",")) + address[1]] if r.random() < .8 else [address[0] + address[1]]
        if site and r.random() < .07:
            site = glued(plain(r.choice(("*", "** ", "<", "\"", "[", "= "))), site) if r.random() < .5 else site

        def labelled(field, span, p):
            if r.random() >= p:
                return span
            label = words.label("header", field)
            how = r.choice((":", ":", " :", "", "=", "glue=", ".", " -"))
            if how == "glue=":
                return glued(plain(label), plain("="), span)
            return (plain(label + how) if not how.startswith(" ") else plain(label) + plain(how)) + span

        lines = []
        if site and number and r.random() < .4:
            how = r.random()
            if how < .35:
                number = glued(plain(r.choice(("#", "#", "No.", "#", "(", "/"))), number)
            elif how < .7:
                number = plain(words.cased(r.choice(("no.", "no", "#", "nr", "store", "site", "unit", "station", "outlet", "store no")))) + number
            if r.random() < .1:
                number = glued(plain("("), number, plain(")"))
            sep = r.choice(("", "", "", "-", ","))
            s = labelled("site", site, .15)
            lines.append(((glued(s, plain(",")) if sep == "," else s + plain(sep)) + number, None) if r.random() < .7 else (s, number))
        else:
            if site:
                lines.append((labelled("site", site, .15), None))
            if number:
                n = labelled("site_number", number, .95) if r.random() < .8 else glued(plain("#"), number)
                if r.random() < .2:
                    lines.insert(0, (n, None))
                else:
                    lines.append((n, None))
        lines += [(labelled("address", a, .08 if i == 0 else 0), None) for i, a in enumerate(address)]
        if printed:
            if r.random() < .12:  # date and time on lines of their own, or far apart
                d, c = told(forms.date(con.site.now, True, True), tag("printed_at")), told(forms.clock(con.site.now), tag("printed_at"))
                if r.random() < .5:
                    lab = words.cased
                    d, c = plain(lab("date" + r.choice(("", ":")))) + d, plain(lab("time" + r.choice(("", ":")))) + c
                new = [(d, c)] if r.random() < .6 else [(d, None), (c, None)]
            else:
                new = [(labelled("printed_at", printed, .55), None)]
            at = r.choice((0, len(lines), len(lines), len(lines)))
            lines[at:at] = new
        if lines and r.random() < .1:
            r.shuffle(lines)
        # Two that share a line.
        if len(lines) > 1 and r.random() < .3:
            i = r.randrange(len(lines) - 1)
            (a, b), (c, d) = lines[i], lines[i + 1]
            if b is None and d is None and wide(a) + wide(c) + 1 < con.width:
                lines[i:i + 2] = [(a, c)]
        if r.random() < .05:  # each label on a line, what it says on the next
            lines = [x for field, span in (("site", site), ("site_number", number), ("address", address and address[0]), ("printed_at", printed)) if span
                     for x in ((plain(words.label("header", field)), None), (span, None))]
        self.lines = lines
        self.where = r.choice(("left", "left", "left", "centre", "centre", "right"))
        split = r.choice((0, 0, 0, 0, 1, 2)) if len(lines) > 1 else r.choice((0, 0, 0, 1))
        self.top, self.foot = (lines, []) if not split else ([], lines) if split == 2 or len(lines) < 2 else (lambda i: (lines[:i], lines[i:]))(r.randrange(1, len(lines)))
        self.beside = None
        if r.random() < .15 and (self.top or self.foot):
            some = self.top if self.top else self.foot
            i = r.randrange(len(some))
            if some[i][1] is None and wide(some[i][0]) < con.width - 12:
                self.beside = some.pop(i)[0]

    def put(self, page, lines):
        r, frame = self.con.rng, self.con.rng.choice(("", "", "", "", "", "", "rule", "stars"))
        if not lines:
            return
        if frame == "rule":
            page.rule(self.con.rule_mark)
        for a, b in lines:
            if b:
                if self.con.rng.random() < .5 and wide(a) + wide(b) + 2 <= page.width:
                    page.line((0, a), (page.width - wide(b), b))
                else:
                    page.line((0, a), (wide(a) + r.choice((2, 3, 6)), b))
            else:
                if frame == "stars" and wide(a) < page.width - 4:
                    a = plain("*") + a + plain("*")
                getattr(page, self.where)(a)
        if frame == "rule":
            page.rule(self.con.rule_mark)


ADVERTS = ("thank you;thank you and drive safely;have a good day;see you again;keep this slip;retain for records;file with compliance log;call service 24 h;end of report;end;end of list;end of print;check tanks daily;"
           "wash with every fill;join our club;do not discard;copy to office;copy for manager;attach to day sheet;no further entries;please sign below;printed on request;auto print;all readings by console;"
           "figures are not corrected;values in force now;newest first;latest on top;report closed;emergency stop at kiosk;mind the step;coffee 99 c;fresh rolls daily;no smoking;remit to head office;"
           "original;duplicate;reprint;test mode off;probe type float;compensation on;monitoring active;all times local;times are end of test;paper saved;report complete;see manual;technician copy").split(";")


def number(r, n):
    return "".join(r.choice("0123456789") for _ in range(n))


def noise(con):
    """A line that says no field, as a span."""
    r, words, forms = con.rng, con.words, con.forms
    t = con.site.when(40)
    u = forms.units
    a = r.choice(ADVERTS)
    choice = r.randrange(28)
    if choice < 9:
        text = a
    elif choice < 11:
        text = r.choice(("page {}", "page {} of {}", "sheet {}/{}", "p. {}", "slip no {}", "report {}", "copy {}")).format(r.randint(1, 4), r.randint(4, 9))
    elif choice < 13:
        text = r.choice(("serial no {}", "s/n {}", "ser {}", "id {}-{}", "console {}", "unit serial: {}", "doc {}")).format(number(r, 6), number(r, 3))
    elif choice < 15:
        text = r.choice(("version {}.{}", "sw {}.{}", "rev {}.{}", "firmware {}.{}.1", "software v{}.{}", "prog {}-{}")).format(r.randint(1, 9), number(r, 2))
    elif choice == 26:
        text = r.choice(("owner {}", "dealer: {}", "prop. {}", "tested by {}", "serviced by {}", "manager {}", "installed by {}", "supplier {}", "carrier {}")).format(r.choice((f"{r.choice(FIRST)} {r.choice(LAST)}", f"{r.choice('ABCDEJKLMRST')}. {r.choice(FIRST).split()[-1]}")))
    elif choice == 27:
        text = r.choice(("certificate {}", "tester no {}", "job {}", "work order {}", "licence {}", "contract {}-{}", "asset {}", "route {}", "region {}", "district {}")).format(number(r, r.choice((2, 4, 6))), number(r, 2))
    elif choice == 15:
        text = r.choice(("tel {}", "ph. {}", "phone {}", "fax: {}", "call {}", "service {}")).format(r.choice(("{}-{}", "0{} {}", "({}) {}", "{}.{}")).format(number(r, 3), number(r, 6)))
    elif choice == 16:
        return plain(words.cased(r.choice(("next test", "next test due", "next service", "next print", "clock set", "last calibration", "settings changed", "probe fitted", "last fault", "certified until", "next inspection")))) + plain(forms.moment(t) if r.random() < .6 else forms.date(t))
    elif choice == 17:
        return plain(words.cased(r.choice(("air temp", "outside temp", "weather", "console temp", "ambient", "rack temp")))) + plain(forms.number(con.site.temperature(), "temperature")) + plain(u["temperature"])
    elif choice == 18:
        text = r.choice(("signed ........", "signature ____________", "checked by ________", "operator: ______", "initials ....", "manager __________", "received by: .......", "driver ________ truck ____"))
    elif choice == 19:
        text = r.choice(("operator {}", "user {}", "clerk {}", "attendant: {}", "shift {}", "emp no {}", "terminal {}")).format(r.choice((number(r, 2), number(r, 4), r.choice(("ann", "bo", "mk", "r. lee", "sam")))))
    elif choice == 20:
        text = r.choice(("vat reg {}", "permit {}", "facility id {}", "licence no {}", "tax no {}", "owner id {}", "truck {}", "bol {}", "ticket {}", "invoice {}", "order {}")).format(number(r, r.choice((4, 6, 8))))
    elif choice == 21:
        return plain(words.cased(r.choice(("total", "all tanks", "sum", "site total", "total stock", "grand total", "total delivered", "month total", "average", "carried over")))) + plain(forms.number(con.site.number(1000, 90000), "volume")) + plain(u["volume"])
    elif choice == 22:
        text = r.choice(("{} records", "{} entries", "{} lines printed", "count {}", "{} tests stored", "{} alarms today", "records: {}", "{} of {} normal")).format(r.randint(1, 30), r.randint(30, 40))
    elif choice == 23:
        text = r.choice(("coeff {}", "probe serial {}", "thermal coeff 0.000{}", "density {}", "tilt {}", "offset {}", "tank diameter {}", "float size {}", "channel {}", "baud {}", "strap points {}", "water float {}")).format(number(r, 3))
    elif choice == 24:
        return plain(words.cased(r.choice(("min test hours", "quiet time", "test window", "auto start", "start at", "daily print at", "wait", "delay", "poll every")))) + plain(r.choice((forms.clock(t), str(r.randint(1, 30)) + " min", str(r.randint(1, 8)) + " h")))
    else:
        text = r.choice(("-- {} --", "*** {} ***", "* {} *", "== {}", "({})", ">> {} <<")).format(a)
    return plain(words.cased(text))
