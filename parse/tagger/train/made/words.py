"""The words of a console: labels, titles, states, results, products, places, events."""
import functools
import os
import re

WORDS = os.path.join(os.path.dirname(__file__), "../../../lexicon/words.txt")


@functools.lru_cache(1)
def lexicon():
    """Spellings by sense and code."""
    known, sense = {}, ""
    for line in open(WORDS, encoding="utf8"):
        line = line.strip()
        if line.startswith("["):
            sense = line.strip("[]")
        elif line and line[0] != "#" and "=" in line and sense:
            code, rest = line.split("=", 1)
            known.setdefault(sense, {}).setdefault(code.strip(), []).extend(w.strip() for w in rest.split("|") if w.strip())
    return known


@functools.lru_cache(10000)
def grade_of(text):
    """The grade that a product's name says, None where the lexicon does not know it."""
    words = text.lower().split()
    for n in range(len(words), 0, -1):
        for at in range(len(words) - n + 1):
            part = " ".join(words[at:at + n])
            for code, names in lexicon()["grade"].items():
                if part in names:
                    return code
    return None


# Labels of our own, by field; of the lexicon's there are more.
OWN = {
    "tank": "tank; tk; vessel; ust; store; pit; tank no; cell; bay; tank ref; container",
    "line": "line; ln; pipe run; feed line; run; circuit; line no; pump line; branch; loop",
    "sensor": "sensor; point; probe; eye; detector no; sns; input; channel; address; zone; leg; port",
    "product": "product; grade; fuel; contents; stored; spirit; kind of fuel; commodity; holds; goods; medium; liquid",
    "volume": "volume; stock; in tank; quantity; gauged volume; fuel held; on hand; observed volume; contents now; bulk; measured; amount in store; wet volume",
    "net_volume": "net; net volume; corrected; standard volume; vol at std temp; tc stock; compensated; volume @ ref; normal volume; billing volume",
    "ullage": "ullage; room; space left; free; can accept; unfilled; outage; headroom; room to brim; to top; void; still takes; vacant",
    "capacity": "capacity; brim volume; full; size; shell; max content; safe fill; rated; holds; nominal size; total room; tank size; built size",
    "height": "height; level; dip; innage; depth; fuel level; stick; column; surface at; product dip; gauge height; wet height",
    "water_height": "water; water level; water dip; bottoms; h2o height; water depth; free water; wtr ht; bottom layer; water stick; sediment and water",
    "water_volume": "water volume; water vol; wtr qty; water content; volume of water; bottoms volume; h2o vol; water amount",
    "temperature": "temp; temperature; fuel temp; product temp; mean temp; average deg; liquid temp; warmth; deg; bulk temp; temp of product",
    "at": "at; read; time; taken; as of; when; logged; stamp; reading of; noted at; clocked",
    "test_rate": "test; rate tested; test type; looking for; class; standard; test level; detects; target; type; leak size; test of; resolution; grade of test; criterion",
    "test_class": "test; test type; rate; class; type; leak size; programme; schedule; tested to; kind of test",
    "method": "method; mode; how; procedure; technique; manner; test mode; type; style of test",
    "started_at": "start; began; begun; test start; from; commenced; opened; start time; started; onset; first reading; set going; launched",
    "ended_at": "end; ended; finished; test end; to; done; completed; stop; final reading; end time; until; concluded; closed; out at",
    "duration": "duration; length; lasted; run time; elapsed; hours run; test time; time taken; period; span; took; how long",
    "start_volume": "start volume; initial; opening volume; begin vol; before; volume at start; first volume; vol 1; start qty; from; prior stock; pre drop; v1",
    "end_volume": "end volume; final; closing volume; after; volume at end; last volume; vol 2; end qty; finish stock; post drop; v2",
    "percent_full": "percent full; fill; % full; fullness; full; filled to; degree of fill; share of capacity; fill level; pct of tank",
    "leak_rate": "leak rate; rate; measured; result rate; loss rate; net change; leak; drift; found; change per hour; volume change; calculated; observed leak; rate of loss",
    "threshold": "threshold; limit; fail limit; pass mark; cutoff; decision line; declare at; alarm above; not over; criterion; trip rate; bound",
    "result": "result; outcome; verdict; finding; judged; status; conclusion; test result; assessment; ruling; says; mark",
    "pressure": "pressure; line pressure; press; test pressure; held at; gauge press; pump pressure; head; bar reading; at pressure",
    "passes_24h": "passes last 24 h; passed 24h; good in last day; 24 hour passes; ok 24h; tests passed 24 hrs; past 24 hours; tight tests in 24 h; last day passes",
    "passes_since_midnight": "since midnight; passes today; today; good since 00:00; passes from midnight; ok since midnight; so far today; this day passes; calendar day",
    "first_pass_of_month": "first pass this month; first of month; month first; 1st pass; earliest this month; first good test of month; first ok; month began with",
    "last_pass_at": "last pass; latest pass; last good test; most recent pass; last ok; newest pass; last passed at; last tight; latest ok test",
    "earlier": "previous pass; pass before; first pass last month; prior month; earlier pass; month before; last month first; pass in month before; former pass; older pass",
    "location": "location; place; where; position; site of sensor; name; fitted at; guards; watches; area; spot; label; sits in",
    "state": "state; status; condition; reads; now; shows; reading; says; alarm; finding; st",
    "device": "device; unit; equipment; item; source; origin; point; object; what; element",
    "device_number": "no; number; nr; id; #; unit; dev; ref; num; index",
    "event": "event; alarm; what happened; message; trouble; cause; occurrence; fault; description; text; incident; kind of alarm; reason",
    "delivered": "delivered; received; drop; gross drop; load; taken in; intake; added; increase; quantity dropped; gain; unloaded; came in; fuel in; delivery; purchases; receipts",
    "net_delivered": "net delivered; net drop; net load; corrected drop; net received; tc increase; std drop; net intake; compensated load; net gain",
    "start_temperature": "start temp; temp before; initial temp; temp at start; opening temp; temp 1; t1 deg; warmth before; temp in",
    "end_temperature": "end temp; temp after; final temp; temp at end; closing temp; temp 2; temp out; warmth after",
    "high_product": "high product; high level; max level; high limit; upper mark; high; high stock; hi warning; max stock; safe working level; upper stop",
    "overfill": "overfill; overfill at; spill limit; overfill mark; overfill trip; top alarm; hi hi; over full; flood point; stop fill; overfill guard",
    "low_product": "low product; low level; min level; low stock; lower mark; low; minimum; bottom mark; run out mark; dry mark; low warning",
    "high_water": "high water; water limit; max water; water alarm; water mark; water trip; wet limit; h2o alarm; high water dip; water above",
    "delivery_needed": "delivery needed; reorder; order at; call for load; refill at; reorder level; order point; ring for fuel; needs fuel below; buy at; order more",
    "leak_alarm": "leak alarm; leak limit; leak trip; leak mark; slow loss; leak warning; leak set; max leak; leak volume; seep limit; leak guard",
    "sudden_loss": "sudden loss; theft limit; quick loss; loss limit; sudden drop; theft; abrupt loss; fast loss; rapid fall; drop alarm; theft guard",
    "opening": "opening; opening stock; start stock; brought forward; open dip; began with; stock at open; b/f; first dip; stock in; opened at; previous stock",
    "sold": "sold; sales; dispensed; pumped; meter sales; issues; through pumps; out; throughput; metered out; drawn; nozzle sales; pump total; issued",
    "closing": "closing; closing stock; end stock; carried forward; close dip; stock at close; physical; c/f; gauge stock; ended with; measured stock; last dip; actual",
    "over_short": "over/short; variance; difference; gain/loss; over or short; diff; discrepancy; balance; unaccounted; variation; surplus/deficit; o/s; wetstock var",
    "allowed": "allowed; allowance; tolerance; permitted; limit; action level; max variance; allowed loss; tolerated; 1% + 130; margin",
    "from": "from; start; period start; since; opened; date from; first day; begins; period from; between",
    "to": "to; end; period end; until; closed; date to; last day; ends; through; period to; and",
    "site": "site; station; location; store; name; depot; outlet; shop; forecourt; branch",
    "site_number": "site no; no; #; store; station no; site id; number; outlet code; store #; unit; branch; code; loc; dealer; depot no; ref",
    "address": "address; addr; street; at; adr; where",
    "printed_at": "printed; printed at; date; report date; issued; print time; time; run; made; produced; report of; now",
    "date": "date; day; dt; on; dated",
    "time": "time; clock; hour; tm; at",
}
OWN = {k: [w.strip() for w in v.split(";")] for k, v in OWN.items()}

CLASS = {"3.0": "hourly; big leak; hourly test; 3 gal; line hourly; quick; large leak", "0.2": "monthly; 30 day; monthly test; each month; nightly", "0.1": "annual; yearly; precision; annual test; fine"}
CLASS = {k: [w.strip() for w in v.split(";")] for k, v in CLASS.items()}

PRODUCTS = ("silver 92;eco 95;unleaded;premium;diesel;gasoil;kerosene;super;regular;plus;midgrade;e85;e10;def;adblue;biodiesel b20;dyed diesel;off road;heating oil;avgas;jet a;racing 110;"
            "rec 90;marine gas;red diesel;super 98;euro 95;unl 87;unl 89;prem 93;ulsd;ulsd 2;arctic dsl;winter diesel;farm fuel;gold 97;power 95;ad blue;waste oil;lamp oil;k1;b7 diesel;e5 super;naphtha;"
            "98 ron;95 ron;mogas;ago;pms;dpk;normal;sp95;sp98;gazole;rul;sul;mul;petrol 91;lead free;blend 89;two stroke;truck diesel;high flow;clear dsl;pump gas").split(";")

SUBJECT = {"tank": "product;water;level;fuel level;volume;probe;delivery;tank;overfill;leak;low product;high water;high product;theft;sudden loss;tank test;gross test;monthly test;annual test;temperature;density;float;ullage;inventory;stock",
           "line": "line;pressure;line pressure;pump;leak;line leak;gross line;0.2 line;hourly test;valve;flow;pump relay;line test;sub pump;handle;shutdown;line seal;self test",
           "sensor": "fuel;water;liquid;sensor;sump;vapor;cable;brine;hydrocarbon;dispenser pan;interstice;reservoir;float;product in sump",
           "system": "paper;printer;power;battery;clock;memory;modem;door;cover;setup;security;disk;network;ribbon;phone line;card;remote display;site ground;backup;cold boot;data link;self test;report mailbox"}
PREDICATE = {"tank": "low;high;alarm;warning;needed;limit;fail;failed;out;too high;too low;lost;overdue;invalid;detected;exceeded;fault;not seen;rising;dropping;unknown;stuck;limit passed",
             "line": "fail;failed;low;high;lost;alarm;shut down;fault;stuck;not holding;timeout;error;locked out;disabled;too long on;blocked",
             "sensor": "alarm;found;out;high;low;warning;fault;detected;open;shorted;seen;in pan;not answering;present;wet;tilted",
             "system": "out;low;off;error;lost;fault;full;not set;failed;restored;open;changed;low voltage;jammed;corrupt;replaced;restart;busy"}
SUBJECT = {k: v.split(";") for k, v in SUBJECT.items()}
PREDICATE = {k: v.split(";") for k, v in PREDICATE.items()}
DEVICE = {"tank": "tank;tk;tank no.;vessel;t;ust;tnk;store", "line": "line;ln;pipe;l;pipeline;pl;piping;run", "sensor": "sensor;sns;s;sen;detector;snsr;probe;point",
          "system": "system;console;sys;panel;printer;station;gauge;main unit;controller;site;cpu;power unit"}
DEVICE = {k: v.split(";") for k, v in DEVICE.items()}

PLACE = ("sump;stp sump;fill sump;pump sump;dispenser pan;manhole;interstice;annular space;annulus;turbine sump;under dispenser;udc;piping sump;monitor well;spill box;fill box;vapor well;island;"
         "double wall;outer skin;separator;interceptor;chamber;vent riser;transition sump;containment;shear box;pit;crawl box;leak pocket;cellar;remote fill;overflow pot;day tank bund;bund").split(";")
WHERE = "north;south;east;west;front;rear;tank {t};t{t};tk {t};{t};{a}/{b};{a}-{b};island {a};disp {a};disp {a}/{b};line {a};pump {a};{p};{p} tank;no {t};#{t};bay {a};lane {a};left;right;A;B;well {a}".split(";")

FIRST = ("Oak Hollow;Brindle;Marsh End;Quarry;Tamarack;Sable Point;Wickham;Long Reach;Dunmore;Kestrel;Eastgate;Juniper;Pell;Thornbury;Lindqvist;Okoro;Marabou;Sandpiper;Gorse;Alder;Bluff;Cotter;Miller's;"
         "Red Barn;Two Mile;Crossways;Harbor;Ninefold;Vasquez;Petrov;Nakuru;Tully;Corran;Bexhill;Silver Fork;Prairie;Delta;Summit;Riverside;Old Mill;Junction;Halfway;Coyote;Laurel;Bayou;Granite;Pinecone;"
         "Highfield;Stonebridge;Kowalski;Duval;Ibarra;Chandra;Mwangi;Larsen;Fogarty;St. Anne;Lakeview;Dry Creek;Big Bend;Northam;Saltash;Copper Hill;Vale;Cinder;Rosewater;Three Oaks;Route 9;Exit 41;Mesa;Banksia;"
         "Wattle;Karoo;Fjord;Skagen;Alpenblick;Porto Novo;Monte Claro;Zielona;Ostrava;Tarn;Moss Side;Brae;Glen;Ashdown").split(";")
LAST = ("Fuel;Fuels;Service Station;Garage;Truck Stop;Mart;Gas & Go;Filling Station;Market;Oil Co;Travel Plaza;Depot;Services;Petroleum;Corner Store;Express;Marina;Energy;Farm Supply;Roadhouse;Motors;Stop;General Store;"
        "Bus Garage;Airfield;Transport;Food & Fuel;Cardlock;Autohof;Co-op;Fuel Centre;Service;Highway Stop;Quick Shop;& Sons;Forecourt;Bros;School District;Town Yard;Haulage;Petrol;Pump House;Oasis;Pantry;Tankstelle;Superstore;Energy Ltd;Auto Services;Landing;Trading Post;Bunkering;Boatyard;Superette;Truck Plaza;C-Store;Filling Stn;Gas Bar;Kwik Stop;Bait & Tackle;Grocery;Tyre & Fuel;Cycle Co;Agri;Farmers Co-op;Cab Co;Ambulance Base;Hospital;Ferry Terminal;Rail Yard;Works Depot;Diner;Petrol Station;Gas Mart;Autoport").split(";")
STREET = "Main;Mill;Church;Station;High;Harbour;Elm;2nd;5th;River;County Line;Depot;Market;Park;Lake;Victoria;Old Coach;Canal;Ring;Industrial;Orchard;Airport;School;Quay;Bridge;Factory;Mombasa;Kings;Ocean".split(";")
WAY = "St;Rd;Ave;Lane;Road;Street;Blvd;Way;Dr;Pike;Hwy;Parade;Close;Terrace".split(";")
TOWN = ("Dover;Ashdale;Marlow;Tully;Barre;Hexham;Dunedin;Oban;Brough;Cortez;Salem;Leeds;Port Elgin;Windhoek;Nairobi;Galway;Bergen;Ostrava;Lisbon;Kandy;Manila;Suva;Accra;Laredo;Rolla;Albion;Hobart;Truro;Nyngan;"
        "Kittitas;Baker City;Moab;Lodi;Fargo;Elko;Kilkenny;Zwolle;Turku;Graz;Pune;Salta;Cuenca;Limassol;Tromso;Kisumu;Gweru;Invercargill;Alice Springs;Moose Jaw;Gander;Yuma").split(";")
STEMS = ("Bram;Wex;Hal;Tor;Mar;Sel;Kin;Ald;Bex;Cors;Dun;Elm;Fen;Gar;Hart;Ing;Jar;Kel;Lang;Mel;Nor;Ost;Pres;Quen;Rad;Stan;Thorn;Ul;Var;Wal;Yar;Zeb;Ash;Brook;Clay;Deer;Eagle;Fox;Green;Holly;Iron;Lime;Maple;"
         "Nut;Otter;Pine;Raven;Stone;Swan;Timber;Wolf;White;Black;Red;Blue;Sun;Moon;North;South;East;West;Kara;Mbe;Olu;Sino;Tama;Ruka;Lima;Bela;Novo;Santa;Puer;Casa;Monte;Villa;Krug;Lind;Sten;Hav;Berg").split(";")
ENDINGS = "ley;ton;ford;wick;burg;ville;mouth;dale;field;stad;holm;ham;worth;den;by;stead;ridge;brook;wood;hurst;more;low;ino;ara;ovo;ski;sund;vik;land;haven;port;gate;cross;combe;pool;bury;minster".split(";")
SETTING = "Hill;Creek;Point;Valley;Corner;Bridge;Bay;Springs;Falls;Heights;Lane;Road;Street;Cove;Crossing;Wharf;Quay;Green;Park;End;Bend;Gap;Lake;Beach;Island;Rock;Moor;Common;Landing;Grove".split(";")
REGION = "OH;NE;VT;OR;CO;TX;ME;WA;GA;KY;NV;MT;ON;BC;NSW;QLD;WA;TAS;AB;MO;NY;FL;AZ;;;;;;;".split(";")


class Words:
    """The vocabulary of one console."""

    def __init__(self, rng):
        self.rng = rng
        self.case = rng.choice(("upper", "upper", "upper", "title", "first", "lower", "lower", "upper", "title", "first", "mixed"))
        self.scheme = rng.choice(("",) * 7 + ("vowels", "vowels", "cut", "dot", "some"))
        self.cut = rng.choice((3, 3, 4, 5))
        self.from_lexicon = rng.choice((.3, .6, .9))
        self.odd = rng.random() < .025  # labels that mean nothing
        self.value_case = self.case if rng.random() < .7 else rng.choice(("upper", "title", "lower", "first"))
        self.kept = {}
        self.count = 0

    def cased(self, text, case=None):
        case = case or self.case
        if case == "mixed":
            case = self.rng.choice(("upper", "title", "first"))
        if case == "upper":
            return text.upper()
        if case == "lower":
            return text.lower()
        if case == "first":
            return text[:1].upper() + text[1:]
        return " ".join(w[:1].upper() + w[1:] if w not in ("of", "in", "at", "to", "the", "and", "for") else w for w in text.split())

    def short(self, word, scheme=None):
        scheme = self.scheme if scheme is None else scheme
        if len(word) < 5 or not word.isalpha() or not scheme:
            return word
        if scheme == "some":
            scheme = self.rng.choice(("", "vowels", "cut"))
        if scheme == "vowels":
            return word[0] + re.sub("[aeiou]", "", word[1:])
        if scheme == "cut":
            return word[:self.cut]
        return word[:self.cut] + "." if scheme == "dot" else word

    def abbreviated(self, text, scheme=None):
        return " ".join(self.short(w, scheme) for w in text.split())

    def spelled(self, kind, field):
        """A spelling of a field's label out of the lexicon's parts, or None."""
        known, r = lexicon(), self.rng
        own = "head" if kind == "header" else kind
        alts = known["field"].get(f"{kind}.{field}") or known["field"].get(f"{own}.{field}") or known["field"].get("*." + field)
        if field == "test_class":
            alts = known["field"].get(kind + ".test_type", alts)
        if not alts:
            return None
        if field == "product":
            alts = [a for a in alts if ("line" if kind.startswith("line") else "tank") in a or not {"line", "tank"} & set(a.split())]
        alt = r.choice(alts)
        parts = [p.strip("()") for p in alt.split() if not p.startswith("(") or r.random() < .15]
        out = []
        for p in parts:
            s = known["part"].get(p)
            if not s:
                return None
            if len(parts) > 1:
                s = ["tank"] if p == "tank" else ["line"] if p == "line" else [w for w in s if " " not in w] or s
            out.append(s[0] if r.random() < .3 else r.choice(s))
        if len(out) > 1 and r.random() < .1:
            out.reverse()
        words = " ".join(out).split()
        return " ".join(w for i, w in enumerate(words) if w not in words[:i])

    def label(self, kind, field):
        """The label of a field on this console, always the same."""
        key = kind, field
        if key not in self.kept:
            r = self.rng
            if self.odd:
                self.count += 1
                text = r.choice(("val {}", "p{:02d}", "item {}", "k{}", "f.{}", "par{}", "x-{}")).format(self.count)
            else:
                text = (self.spelled(kind, field) if r.random() < self.from_lexicon else None) or r.choice(OWN.get(field, [field]))
                if r.random() < .03:
                    text = "".join(r.choice("bcdfghklmnprstvz") + r.choice("aeiou") for _ in range(r.randint(1, 3)))
            if len(text.split()) > 4:
                text = r.choice(OWN.get(field, [field]))
            self.kept[key] = self.cased(self.abbreviated(text))
        return self.kept[key]

    def brief(self, kind, field, most=9):
        """A label that is short enough for a column."""
        key = kind, field, most
        if key not in self.kept:
            r = self.rng
            best = [self.label(kind, field)]
            for _ in range(6):
                t = (self.spelled(kind, field) if r.random() < self.from_lexicon else None) or r.choice(OWN.get(field, [field]))
                best.append(self.cased(self.abbreviated(t)))
            fit = [b for b in best if max(map(len, b.split())) <= most and len(b) <= 2.2 * most]
            text = best[0] if best[0] in fit else r.choice(fit) if fit else self.cased(self.abbreviated(r.choice(OWN.get(field, [field])), r.choice(("vowels", "cut"))))
            self.kept[key] = text
        return self.kept[key]

    def product(self):
        r = self.rng
        if r.random() < .6:
            text = r.choice(PRODUCTS)
        else:
            text = r.choice(r.choice(list(lexicon()["grade"].values())))
        if r.random() < .1:
            text = self.short(text.split()[0], r.choice(("vowels", "cut"))) + text[len(text.split()[0]):]
        return self.cased(text, self.value_case)

    def chosen(self, sense, code, but=""):
        """What a code is printed as, on this console always the same; but in no words with one of another thing."""
        key = sense, code, but
        if key not in self.kept:
            known = [w for w in lexicon()[sense][code] if len(w) < 18 and not (but and but in w)]
            text = known[0] if self.rng.random() < .35 else self.rng.choice(known)
            if self.rng.random() < .06:
                text = self.short(text.split()[0], "cut") + text[len(text.split()[0]):]
            self.kept[key] = self.cased(text, self.value_case)
        return self.kept[key]

    def device(self, code):
        key = "device", code
        if key not in self.kept:
            t = self.rng.choice(DEVICE[code] if self.rng.random() < .7 else lexicon()["device"][code])
            self.kept[key] = self.cased(t, self.value_case if len(t) > 1 else "upper")
        return self.kept[key]

    def class_word(self, rate):
        code = {3.0: "3.0", 11.4: "3.0", .2: "0.2", .76: "0.2"}.get(rate, "0.1")
        key = "class", code
        if key not in self.kept:
            self.kept[key] = self.cased(self.rng.choice(CLASS[code]), self.value_case)
        return self.kept[key]

    def event(self, device):
        r = self.rng
        s, p = r.choice(SUBJECT[device]), r.choice(PREDICATE[device])
        text = f"{s} {p}" if r.random() < .8 else f"{p} {s}"
        if r.random() < .12:
            text = s if len(s) > 5 else text
        if r.random() < .1:
            text = self.abbreviated(text, r.choice(("vowels", "cut")))
        return self.cased(" ".join(dict.fromkeys(text.split())), self.value_case)

    def location(self, site):
        r = self.rng
        t = r.choice(site.tanks)
        a = r.randint(1, 9)
        where = r.choice(WHERE).format(t=t["id"], a=a, b=a + 1, p=t["product"].lower())
        place = r.choice(PLACE)
        text = f"{place} {where}" if r.random() < .65 else f"{where} {place}" if r.random() < .7 else place
        if r.random() < .15:
            text = self.abbreviated(text, r.choice(("vowels", "cut")))
        return self.cased(text, self.value_case)

    def place(self):
        """The name of a place, known or made up."""
        r = self.rng
        how = r.random()
        if how < .35:
            return r.choice(FIRST)
        name = r.choice(STEMS) + r.choice(ENDINGS) if how < .85 else r.choice(TOWN)
        return name + " " + r.choice(SETTING) if r.random() < .35 else name

    def site(self):
        r = self.rng
        name = f"{self.place()} {r.choice(LAST)}" if r.random() < .8 else f"{self.place()} {self.place()} {r.choice(LAST)}" if r.random() < .5 else f"{r.choice(LAST)} {self.place()}" if r.random() < .5 else self.place()
        if r.random() < .1:
            name = r.choice(("The ", "Shop ", "H & M ", "A1 ", "Casa ", "Ets ", "J. ")) + name
        return self.cased(name, r.choice(("upper", "title", "title")))

    def address(self):
        """A street and a town, to be printed on one line or two."""
        r = self.rng
        no = r.choice((str(r.randint(1, 99)), str(r.randint(100, 9999)), str(r.randint(1, 30))))
        street = r.choice((f"{no} {r.choice(STREET)} {r.choice(WAY)}",) * 6 + (
            f"{r.choice(STREET)} {r.choice(WAY)} {no}", f"Hwy {r.randint(1, 99)} Exit {r.randint(1, 300)}", f"PO Box {no}", f"Km {r.randint(2, 240)} Route {r.randint(1, 90)}", f"Lot {r.randint(1, 40)} {r.choice(STREET)} {r.choice(WAY)}",
            f"{self.place()} Road", f"{no} {self.place()} {r.choice(WAY)}", f"{self.place()} {r.choice(SETTING)}",
            f"{no} State Rt {r.randint(1, 99)}", f"County Rd {r.randint(2, 300)}", f"US-{r.randint(1, 99)}, Mile {r.randint(1, 200)}", f"A{r.randint(2, 99)} {self.place()}", f"N {r.randint(2, 140)} Km {r.randint(1, 99)}",
            f"Plot {r.randint(1, 40)}, {self.place()} {r.choice(WAY)}", f"The {r.choice(SETTING)}", f"Rural Route {r.randint(1, 9)} Box {no}", f"Route {r.randint(1, 99)}", f"{no} {r.choice('NSEW')} {r.choice(STREET)} {r.choice(WAY)}",
            f"Unit {r.randint(1, 9)}, {r.choice(STREET)} {r.choice(WAY)}", f"I-{r.randint(5, 99)} Exit {r.randint(1, 300)}", f"{r.choice(STREET)}strasse {no}", f"US {r.randint(1, 99)} & {r.choice(STREET)}", f"Rua {r.choice(FIRST)} {no}", f"{no}/{r.randint(2, 9)} {r.choice(STREET)} {r.choice(WAY)}"))
        town, region = r.choice(TOWN) if r.random() < .4 else self.place(), r.choice(REGION)
        code = r.choice(("", "", "", str(r.randint(10000, 99999)), str(r.randint(1000, 9999)), str(r.randint(100000, 999999)), "{}{}{} {}{}{}".format(*(r.choice(x) for x in ("ABEGKLMN", "BDEHLNR", "123456789", "123456789", "ABDEGHJL", "ABDEGHJL"))),
                         "{}{}{} {}{}{}".format(*(r.choice(x) for x in ("KLMTV", "0123456789", "ABCEGH", "0123456789", "ABCEGH", "0123456789")))))
        town = r.choice((f"{town}, {region} {code}", f"{town} {region} {code}", f"{code} {town}", town)).strip().rstrip(",")
        case = r.choice(("upper", "title", "title"))
        return self.cased(" ".join(street.split()), case), self.cased(" ".join(town.replace(" ,", ",").split()), case)
