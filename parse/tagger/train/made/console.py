"""A console: its words, its forms, its paper."""
from .facts import Site
from .forms import Forms
from .page import glued, plain, told
from .words import Words


class Console:
    def __init__(self, rng):
        self.rng, self.forms, self.words = rng, Forms(rng), Words(rng)
        self.width = rng.choice((24, 24, 28, 30, 32, 32, 32, 34, 36, 38, 40, 40, 40, 42, 44, 48, 56, 80))
        self.site = Site(rng, self.words, self.forms.system, self.forms.dec)
        self.rule_mark = rng.choice("----==_*~.#")
        self.none = rng.choice(("", "", "-", "--", "---", "n/a", "N/A", "none", ".", "..."))
        self.join = rng.choice(("", "", "#", "-", ".")) if rng.random() < .4 else None  # T2 as one word
        self.devices = rng.choice(("name", "name", "name", "letter"))
        self.colon = rng.choice(("", "", "", ":", ":", " #", " no.", " :", "-", " no"))

    def noun(self, field, kind="tank_test"):
        """The word for a tank, line or sensor before its number."""
        key = "noun", field
        if key not in self.words.kept:
            self.words.device(field)
            self.words.kept[key] = self.words.kept["device", field]
        return self.words.kept[key]

    def numbered(self, noun, number, noun_tags=()):
        """TANK 2, T2, TANK: 2, TK#2 …: number is a span."""
        if self.join is not None and len(noun.split()) == 1:
            return glued(told(noun + self.join, noun_tags), number)
        a = told(noun, noun_tags)
        if self.colon == " #":
            return a + glued(plain("#"), number)
        if self.colon.startswith(" "):
            return a + plain(self.colon) + number
        return glued(a, plain(self.colon)) + number if self.colon else a + number

    def device(self, code, row):
        """An alarm's device with its number."""
        name = self.words.device(code)
        if self.devices == "letter":
            name = self.words.cased({"tank": "t", "line": "l", "sensor": "s", "system": "sys"}[code], "upper")
            if row.has("device_number"):
                return glued(told(name, row.tags("device")), told(row.value("device_number"), row.tags("device_number")))
        if not row.has("device_number"):
            return told(name, row.tags("device"))
        return self.numbered(name, told(row.value("device_number"), row.tags("device_number")), row.tags("device"))

    def word(self, sec, field, v, row):
        """A value in words."""
        tags = row.tags(field)
        kind = row.records[0].kind
        if field == "device":
            return told(self.words.device(v), tags)
        if field == "state":
            sense = "alarm_state" if kind == "alarm" else "sensor_state"
            text = self.words.chosen(sense, v)
            return told(sec.code(text) if sec.coded == "state" else text, tags)
        if field == "result":
            text = self.words.chosen("result", v, "tank" if kind == "line_test" else "line")
            return told(sec.code(text) if sec.coded == "result" else text, tags)
        if field == "method":
            return told(self.words.chosen("method", v), tags)
        if field == "test_class":
            if sec.code_class:
                return told(self.words.class_word(v), tags)
            return told(self.forms.number(v, "rate", "test_class"), tags)
        return told(v, tags)
