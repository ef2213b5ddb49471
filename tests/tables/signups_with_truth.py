"""Writes sign-ups with truth: invented people who join once, twice or three times, with slips.

Run: python tests/tables/signups_with_truth.py --rows 100000 --seed 701 --mix mild
     --homes even --states WA,OR,MN,VT,NC,PA --out signups_a.csv

Needs the packages pseudopeople 1.3.1 (its bundled sample population, nicknames and OCR slips;
BSD-3-Clause), names 0.3.0 (name counts of the 1990 US Census) and zipcodes 3.0.0, best in a virtual
environment of their own. `--homes` takes one half of the households of the sample, so that what is
learned from one half can be measured on the other.

Each person's draws come from random.Random(seed|person), so they do not depend on the order of
rows. In the first round a household keeps its names and street; in every later one it keeps its
structure (ages, sexes, who shares a last name), and names, house number, street and ZIP are drawn
anew. Phones and mailboxes are invented. `true_id` says who a row is, `household_id` who lives
together.
"""

import argparse
import csv
import hashlib
import importlib.util
import itertools
import math
import random
import re
import warnings
from bisect import bisect
from collections import defaultdict
from datetime import datetime, timedelta
from pathlib import Path

STATE_NAME = {
    "WA": "Washington",
    "OR": "Oregon",
    "MN": "Minnesota",
    "VT": "Vermont",
    "NC": "North Carolina",
    "PA": "Pennsylvania",
    "WI": "Wisconsin",
    "MI": "Michigan",
    "NM": "New Mexico",
    "NY": "New York",
    "GA": "Georgia",
    "CA": "California",
}
# Shares: who signs up again, what changed meanwhile, what is left out, how often a hand slips.
MILD = {
    "dup": 0.065,
    "triple": 0.15,
    "same_day": 0.10,
    "move": 0.25,
    "rename": 0.06,
    "new_email": 0.22,
    "new_phone": 0.12,
    "miss_email": 0.07,
    "miss_phone": 0.08,
    "typo_first": 0.025,
    "typo_last": 0.03,
    "nick": 0.10,
    "swap": 0.006,
    "ocr": 0.004,
    "phon": 0.012,
    "mid_full": 0.18,
    "mid_init": 0.37,
    "mid_in_first": 0.02,
    "compound_cut": 0.12,
    "suffix_missing": 0.40,
    "email_typo": 0.02,
    "plus": 0.012,
    "dots": 0.05,
    "email_domain_typo": 0.006,
    "phone_typo": 0.012,
    "phone_ext": 0.004,
    "street_full": 0.30,
    "street_dot": 0.10,
    "street_typo": 0.03,
    "number_typo": 0.008,
    "unit_drop": 0.15,
    "unit_inline": 0.22,
    "zip_typo": 0.010,
    "zip_missing": 0.02,
    "zip4": 0.06,
    "city_alt": 0.05,
    "city_typo": 0.015,
    "state_full": 0.05,
    "addr_missing": 0.01,
    "upper": 0.03,
    "lower": 0.07,
    "spaces": 0.02,
    "share_phone": 0.30,
    "share_email": 0.07,
    "twins": 0.015,
    "juniors": 0.025,
    "helper": 0.006,
    "building": 0.18,
}
ROUGH = MILD | {
    "dup": 0.08,
    "move": 0.32,
    "rename": 0.09,
    "new_email": 0.30,
    "new_phone": 0.18,
    "miss_email": 0.10,
    "miss_phone": 0.11,
    "typo_first": 0.04,
    "typo_last": 0.045,
    "nick": 0.14,
    "swap": 0.010,
    "ocr": 0.007,
    "phon": 0.02,
    "mid_full": 0.15,
    "mid_init": 0.30,
    "suffix_missing": 0.5,
    "email_typo": 0.03,
    "phone_typo": 0.02,
    "street_typo": 0.05,
    "number_typo": 0.015,
    "unit_drop": 0.22,
    "zip_typo": 0.018,
    "zip_missing": 0.035,
    "city_typo": 0.025,
    "share_phone": 0.36,
    "share_email": 0.10,
    "twins": 0.02,
    "juniors": 0.03,
    "helper": 0.010,
    "building": 0.22,
    "upper": 0.05,
    "lower": 0.10,
}
HARSH = ROUGH | {
    "nick": 0.21,
    "typo_first": 0.055,
    "typo_last": 0.05,
    "phon": 0.025,
    "share_phone": 0.48,
    "share_email": 0.15,
    "mid_in_first": 0.03,
    "new_email": 0.28,
    "move": 0.30,
}
MIDDLE = {kind: (share + ROUGH[kind]) / 2 for kind, share in MILD.items()}
MIX = {"mild": MILD, "middle": MIDDLE, "rough": ROUGH, "harsh": HARSH}
TYPES = {
    "st": "street",
    "ave": "avenue",
    "av": "avenue",
    "dr": "drive",
    "rd": "road",
    "ln": "lane",
    "ct": "court",
    "cir": "circle",
    "blvd": "boulevard",
    "pl": "place",
    "ter": "terrace",
    "hwy": "highway",
    "pkwy": "parkway",
    "trl": "trail",
    "sq": "square",
}
LONG = {v: k for k, v in TYPES.items()}
DIRS = {
    "n": "north",
    "s": "south",
    "e": "east",
    "w": "west",
    "ne": "northeast",
    "nw": "northwest",
    "se": "southeast",
    "sw": "southwest",
}
DOMAINS = [
    ("gmail.com", 0.50),
    ("yahoo.com", 0.15),
    ("hotmail.com", 0.08),
    ("outlook.com", 0.07),
    ("icloud.com", 0.06),
    ("aol.com", 0.05),
    ("comcast.net", 0.05),
    ("msn.com", 0.02),
    ("protonmail.com", 0.02),
]
DOMAIN_TYPO = {
    "gmail.com": ["gmial.com", "gmail.con", "gmai.com"],
    "yahoo.com": ["yaho.com", "yahoo.con"],
    "hotmail.com": ["hotmial.com", "hotmail.co"],
}
KEYS = dict(
    zip(
        "qwertyuiopasdfghjklzxcvbnm",
        [
            "wa",
            "qes",
            "wrd",
            "etf",
            "ryg",
            "tuh",
            "yij",
            "uok",
            "ipl",
            "ol",
            "qsz",
            "awdx",
            "sefc",
            "drgv",
            "fthb",
            "gyjn",
            "hukm",
            "jil",
            "kop",
            "asx",
            "zsdc",
            "xdfv",
            "cfgb",
            "vghn",
            "bhjm",
            "njk",
        ],
        strict=False,
    )
)
PHON = [
    ("ph", "f"),
    ("ck", "k"),
    ("ie", "y"),
    ("y", "i"),
    ("ei", "ie"),
    ("c", "k"),
    ("s", "z"),
    ("ll", "l"),
    ("nn", "n"),
    ("ee", "ea"),
    ("sh", "sch"),
    ("th", "t"),
    ("er", "ar"),
    ("ou", "u"),
    ("sen", "son"),
]


def rng(*key):
    h = hashlib.blake2b("|".join(map(str, key)).encode(), digest_size=8).digest()
    return random.Random(int.from_bytes(h, "big"))


def pkg_dir(name):
    return Path(next(iter(importlib.util.find_spec(name).submodule_search_locations)))


def base_people():
    """The sample population of pseudopeople without noise: simulated people in their households."""
    warnings.filterwarnings("ignore")
    import pseudopeople

    census = pseudopeople.generate_decennial_census(seed=0, config=pseudopeople.NO_NOISE)
    social = pseudopeople.generate_social_security(seed=0, config=pseudopeople.NO_NOISE)
    named = social[social.middle_name.notna()].drop_duplicates("simulant_id")
    middle = named.set_index("simulant_id").middle_name
    census = census[census.housing_type == "Household"].copy()
    census["middle"] = census.simulant_id.astype(str).map(middle).fillna(census.middle_initial)
    census = census.rename(
        columns={
            "first_name": "first",
            "last_name": "last",
            "relationship_to_reference_person": "rel",
        }
    )
    census["age"] = census.age.astype(int)
    census = census.astype(object).where(census.notna(), "")
    return census[
        [
            "simulant_id",
            "household_id",
            "first",
            "middle",
            "last",
            "age",
            "sex",
            "rel",
            "street_number",
            "street_name",
            "unit_number",
        ]
    ].to_dict("records")


class Picker:
    def __init__(self, pairs):
        self.v = [a for a, _ in pairs]
        self.c = list(itertools.accumulate(w for _, w in pairs))

    def __call__(self, r):
        return self.v[bisect(self.c, r.random() * self.c[-1])] if self.c else ""


def census_names(fname):
    out, prev = [], 0
    for line in (pkg_dir("names") / fname).open():
        n, cum = line.split()[0], float(line.split()[2])
        out.append((n.title(), max(cum - prev, 0.0002)))
        prev = cum
    return out


def load_world(half):
    people = base_people()
    homes = defaultdict(list)
    last, first, mid = (
        defaultdict(int),
        defaultdict(lambda: defaultdict(int)),
        defaultdict(lambda: defaultdict(int)),
    )
    streets = set()
    for p in people:
        p["age"] = int(p["age"])
        homes[p["household_id"]].append(p)
        last[p["last"]] += 1
        k = (p["sex"], p["age"] // 10)
        first[k][p["first"]] += 1
        if len(p["middle"]) > 1:
            mid[p["sex"]][p["middle"]] += 1
        if p["street_name"] and p["street_name"].split()[-1] in TYPES | LONG:
            streets.add(p["street_name"])
    keep = [
        h
        for h in sorted(homes)
        if (hashlib.blake2b(h.encode(), digest_size=2).digest()[0] & 1) == (half == "odd")
    ]
    w = {}
    w["homes"] = [homes[h] for h in keep]
    w["home_ids"] = keep
    w["last_pp"] = Picker(sorted(last.items()))
    w["last_us"] = Picker(census_names("dist.all.last"))
    w["first_pp"] = {k: Picker(sorted(v.items())) for k, v in first.items()}
    w["first_us"] = {
        "Male": Picker(census_names("dist.male.first")),
        "Female": Picker(census_names("dist.female.first")),
    }
    w["mid"] = {k: Picker(sorted(v.items())) for k, v in mid.items()}
    w["streets"] = sorted(streets)
    nick = {}
    for row in csv.reader((pkg_dir("pseudopeople") / "data" / "nicknames.csv").open()):
        if row and row[0] != "name":
            nick[row[0].strip().lower()] = [x.strip().title() for x in row[1:] if x.strip()]
    w["nick"] = nick
    ocr = []
    for row in csv.reader((pkg_dir("pseudopeople") / "data" / "ocr_errors.csv").open()):
        if len(row) >= 2 and not row[0].startswith("#") and row[0].isalnum():
            ocr += [(row[0], x) for x in row[1:] if x]
    w["ocr"] = ocr
    return w


def pick_zips(states, n, seed):
    import zipcodes

    rows = [
        z
        for z in zipcodes.list_all()
        if z["state"] in states
        and z["zip_code_type"] == "STANDARD"
        and z["active"]
        and z["area_codes"]
    ]
    r = rng(seed, *states, "zips")
    rows.sort(key=lambda z: z["zip_code"])
    # neighbouring ZIPs, as local drop sites would have: take runs of 4 from random starts
    out, seen = [], set()
    while len(out) < n:
        i = r.randrange(len(rows))
        for z in rows[i : i + 4]:
            if z["zip_code"] not in seen:
                seen.add(z["zip_code"])
                out.append(z)
        if len(seen) >= len(rows) - 8:
            break
    return out, Picker([(z, math.exp(r.gauss(0, 0.8))) for z in out])


def typo(r, s):
    if len(s) < 2:
        return s
    i = r.randrange(len(s) - 1)
    k = r.random()
    if k < 0.3:
        return s[:i] + s[i + 1] + s[i] + s[i + 2 :]
    if k < 0.55 and len(s) > 3:
        return s[:i] + s[i + 1 :]
    if k < 0.75:
        return s[:i] + s[i] + s[i:]
    c = s[i].lower()
    n = r.choice(KEYS.get(c, "e"))
    return s[:i] + (n.upper() if s[i].isupper() else n) + s[i + 1 :]


def digit_typo(r, s):
    pos = [i for i, c in enumerate(s) if c.isdigit()]
    if not pos:
        return s
    i = r.choice(pos)
    if r.random() < 0.4 and i + 1 < len(s) and s[i + 1].isdigit() and s[i + 1] != s[i]:
        return s[:i] + s[i + 1] + s[i] + s[i + 2 :]
    return s[:i] + str((int(s[i]) + r.randrange(1, 10)) % 10) + s[i + 1 :]


def phonetic(r, s):
    opts = [(a, b) for a, b in PHON if a in s[1:].lower()]
    if not opts:
        return typo(r, s)
    a, b = r.choice(opts)
    i = s.lower().index(a, 1)
    return s[:i] + b + s[i + len(a) :]


def ocr_err(r, s, table):
    opts = [(a, b) for a, b in table if a in s]
    if not opts:
        return typo(r, s)
    a, b = r.choice(opts)
    i = s.index(a)
    return s[:i] + b + s[i + len(a) :]


def slug(s):
    return re.sub(r"[^a-z]", "", s.lower())


def phone_number(r, z):
    while True:
        nxx = r.randrange(200, 1000)
        if nxx % 100 != 11 and nxx != 555:
            return f"{r.choice(z['area_codes'])}{nxx}{r.randrange(10000):04d}"


def make_email(r, first, last, age, w):
    given, family = slug(first), slug(last) or "x"
    nk = w["nick"].get(first.lower())
    if nk and r.random() < 0.2:
        given = slug(r.choice(nk)) or given
    yy = str((2024 - age) % 100).zfill(2)
    k = r.random()
    if k < 0.30:
        u = f"{given}.{family}"
    elif k < 0.50:
        u = f"{given}{family}"
    elif k < 0.62:
        u = f"{given[:1]}{family}"
    elif k < 0.70:
        u = f"{given}{family[:1]}"
    elif k < 0.78:
        u = f"{given}_{family}"
    elif k < 0.88:
        u = f"{given}{yy}"
    else:
        u = r.choice(
            ["garden", "blue", "happy", "sunny", "coffee", "bike", "hiker", "mama", "quilt", "bass"]
        ) + r.choice([given[:3], family[:4], "lover", "girl", "guy", "fan"])
    if r.random() < 0.62:
        u += str(r.choice([yy, r.randrange(1, 100), r.randrange(100, 10000)]))
    x, acc = r.random(), 0
    for domain, share in DOMAINS:
        acc += share
        if x < acc:
            return f"{u}@{domain}"
    return f"{u}@{DOMAINS[-1][0]}"


class Gen:
    def __init__(self, rows, seed, mix, half, states):
        self.n, self.seed, self.p = rows, seed, MIX[mix]
        self.w = load_world(half)
        n_hh = rows / (1 + self.p["dup"] * (1 + self.p["triple"])) / 1.45
        self.zips, self.zpick = pick_zips(states, max(12, int(n_hh / 150)), seed)
        self.used_email = {}
        self.prior = []  # (email, person) pool for helpers who sign another person up

    def draw_first(self, r, sex, age):
        if r.random() < 0.7:
            pk = self.w["first_pp"].get((sex, age // 10))
            if pk:
                return pk(r)
        return self.w["first_us"][sex](r)

    def draw_last(self, r):
        return (self.w["last_pp"] if r.random() < 0.5 else self.w["last_us"])(r)

    def address(self, r, street=None, number=None, unit=None):
        z = self.zpick(r)
        if r.random() < self.p["building"]:
            b = rng(self.seed, "building", z["zip_code"], r.randrange(6))
            return {
                "number": str(b.randrange(100, 9900)),
                "street": b.choice(self.w["streets"]),
                "unit": f"{r.randrange(1, 13)}{r.choice(['A', 'B', 'C', 'D', '01', '02', '03', '04'])}",
                "z": z,
            }
        if not street:
            street = r.choice(self.w["streets"])
        if not number or not number[:1].isdigit():
            number = str(
                r.choice([r.randrange(1, 200), r.randrange(200, 9999), r.randrange(200, 9999)])
            )
        if not unit and r.random() < 0.05:
            unit = r.choice(["2", "B", "1A", "204", "3", "Upper", "Rear"])
        return {"number": number, "street": street, "unit": unit or "", "z": z}

    def unique_email(self, e, key):
        while self.used_email.get(e, key) != key:
            u, d = e.split("@")
            e = f"{u}{rng(key, e).randrange(10)}@{d}"
        self.used_email[e] = key
        return e

    def household(self, hi, rep):
        base, hid = self.w["homes"][hi], f"{self.w['home_ids'][hi]}r{rep}"
        r = rng(self.seed, "hh", hid)
        lastmap, members = {}, []
        ref = base[0]
        for q in base:
            if q["age"] < 18 and not (q["age"] >= 16 and r.random() < 0.1):
                continue
            if rep:
                lk = q["last"]
                if lk not in lastmap:
                    lastmap[lk] = self.draw_last(r)
                first, middle = self.draw_first(r, q["sex"], q["age"]), self.w["mid"][q["sex"]](r)
                last = lastmap[lk]
            else:
                first, middle, last = q["first"], q["middle"], q["last"]
            if not first or not last:
                continue
            members.append(
                {
                    "pid": f"{q['simulant_id']}r{rep}",
                    "first": first,
                    "middle": middle,
                    "last": last,
                    "suffix": "",
                    "sex": q["sex"],
                    "age": q["age"],
                    "rel": q["rel"],
                    "must": False,
                }
            )
        if not members:
            return hid, r, None, []
        head = members[0]
        if r.random() < self.p["twins"]:
            sib = dict(head, pid=head["pid"] + "t", rel="Twin", must=True)
            sib["sex"] = (
                head["sex"]
                if r.random() < 0.75
                else ("Male" if head["sex"] == "Female" else "Female")
            )
            for _ in range(60):
                sib["first"] = self.draw_first(r, sib["sex"], head["age"])
                if sib["first"] != head["first"] and (
                    r.random() > 0.4 or sib["first"][:1] == head["first"][:1]
                ):
                    break
            sib["middle"] = self.w["mid"][sib["sex"]](r)
            head["must"] = True
            if sib["first"] != head["first"]:
                members.append(sib)
        elif r.random() < self.p["juniors"]:
            elder = next((m for m in members if m["age"] >= 38 and m["sex"] == "Male"), None)
            if elder:
                kid = next(
                    (
                        m
                        for m in members
                        if m["rel"] == "Biological child"
                        and m["sex"] == elder["sex"]
                        and m["age"] <= elder["age"] - 18
                    ),
                    None,
                )
                if not kid:
                    kid = dict(
                        elder,
                        pid=elder["pid"] + "j",
                        age=max(18, elder["age"] - r.randrange(20, 36)),
                        rel="Junior",
                    )
                    members.append(kid)
                kid["first"], kid["last"] = elder["first"], elder["last"]
                kid["middle"] = (
                    elder["middle"] if r.random() < 0.6 else self.w["mid"][kid["sex"]](r)
                )
                kid["suffix"] = "Jr" if r.random() < 0.9 else "III"
                if r.random() < 0.35:
                    elder["suffix"] = "Sr"
                elder["must"] = kid["must"] = True
        keep = [
            m
            for m in members
            if m["must"] or r.random() < (0.85 if m["rel"] == "Reference person" else 0.45)
        ]
        adr = self.address(
            r,
            None if rep else ref["street_name"],
            None if rep else ref["street_number"],
            None
            if rep
            else re.sub(r"^(unit|apartment|apt|#|ste|suite)\s*", "", ref["unit_number"] or ""),
        )
        return hid, r, adr, keep

    def people(self):
        """Yield (hid, persons with contact state); households in a seeded order, replica after replica."""
        rep = 0
        while True:
            order = list(range(len(self.w["homes"])))
            rng(self.seed, "order", rep).shuffle(order)
            for hi in order:
                hid, r, adr, keep = self.household(hi, rep)
                if not keep:
                    continue
                land = phone_number(r, adr["z"])
                fam = None
                if len(keep) > 1 and r.random() < self.p["share_email"] * 1.6:
                    fam = self.unique_email(
                        r.choice(["the{}s", "{}family", "{}.home", "{}household"]).format(
                            slug(keep[0]["last"])
                        )
                        + str(r.choice(["", r.randrange(1, 999)]))
                        + "@gmail.com",
                        hid,
                    )
                twin_share = any(m["rel"] in ("Twin", "Junior") for m in keep)
                for m in keep:
                    q = rng(self.seed, "person", m["pid"])
                    m["adr"] = adr
                    share = self.p["share_phone"] * (1.5 if twin_share else 1)
                    m["phone"] = (
                        land if len(keep) > 1 and q.random() < share else phone_number(q, adr["z"])
                    )
                    m["email"] = (
                        fam
                        if fam and q.random() < 0.65
                        else self.unique_email(
                            make_email(q, m["first"], m["last"], m["age"], self.w), m["pid"]
                        )
                    )
                    if (
                        self.prior and q.random() < self.p["helper"]
                    ):  # someone else's contact details on this form
                        h = self.prior[q.randrange(len(self.prior))]
                        m["email"] = h["email"]
                        if q.random() < 0.5:
                            m["phone"] = h["phone"]
                    if len(self.prior) < 2000:
                        self.prior.append({"email": m["email"], "phone": m["phone"]})
                    m["email2"] = self.unique_email(
                        make_email(q, m["first"], m["last"], m["age"], self.w), m["pid"]
                    )
                    yield hid, m
            rep += 1

    # ---- one form as it was filled in
    def render(self, r, st, m):
        p = self.p
        first, last, middle, suffix = st["first"], st["last"], m["middle"], m["suffix"]
        nk = self.w["nick"].get(first.lower())
        if nk and r.random() < p["nick"]:
            first = r.choice(nk)
        if r.random() < p["typo_first"]:
            first = typo(r, first)
        elif r.random() < p["phon"]:
            first = phonetic(r, first)
        elif r.random() < p["ocr"]:
            first = ocr_err(r, first, self.w["ocr"])
        if (" " in last or "-" in last) and r.random() < p["compound_cut"]:
            last = r.choice(re.split(r"[ -]", last))
        if r.random() < p["typo_last"]:
            last = typo(r, last)
        elif r.random() < p["phon"]:
            last = phonetic(r, last)
        elif r.random() < p["ocr"]:
            last = ocr_err(r, last, self.w["ocr"])
        k = r.random()
        mid = (
            middle
            if k < p["mid_full"]
            else (middle[:1] + (r.choice(["", "."])))
            if k < p["mid_full"] + p["mid_init"]
            else ""
        )
        if not middle:
            mid = ""
        if mid and r.random() < p["mid_in_first"]:
            first, mid = f"{first} {mid}", ""
        if suffix and r.random() < p["suffix_missing"]:
            suffix = ""
        if suffix:
            suffix = r.choice([suffix, suffix, suffix + ".", suffix.upper()])
            if r.random() < 0.25:
                last, suffix = f"{last} {suffix}", ""
        if r.random() < p["swap"]:
            first, last = last, first
        # address
        a = st["adr"]
        num, unit, z = a["number"], a["unit"], a["z"]
        k = r.random()
        style = (
            "full"
            if k < p["street_full"]
            else "dot"
            if k < p["street_full"] + p["street_dot"]
            else "abbr"
        )
        toks = []
        for i, t in enumerate(a["street"].split()):
            t = LONG.get(t, t) if i else t
            if i and t in TYPES:
                t = TYPES[t] if style == "full" else t + ("." if style == "dot" else "")
            elif t in DIRS:
                t = (
                    DIRS[t]
                    if style == "full" and r.random() < 0.6
                    else t.upper() + ("." if style == "dot" else "")
                )
            toks.append(t if t.isupper() else t.title() if not t[:1].isdigit() else t)
        street = " ".join(toks)
        if r.random() < p["street_typo"]:
            street = typo(r, street)
        if r.random() < p["number_typo"]:
            num = digit_typo(r, num)
        line = f"{num} {street}"
        u = ""
        if unit and r.random() >= p["unit_drop"]:
            u = r.choice(
                ["Apt {}", "Apt {}", "#{}", "Unit {}", "Apartment {}", "Apt. {}", "{}"]
            ).format(unit)
            if r.random() < p["unit_inline"]:
                line, u = (
                    f"{line}{r.choice([' ', ', '])}{u if not u[:1].isdigit() else '#' + u}",
                    "",
                )
        city, state, zc = z["city"], z["state"], z["zip_code"]
        if z["acceptable_cities"] and r.random() < p["city_alt"]:
            city = r.choice(z["acceptable_cities"])
        if r.random() < p["city_typo"]:
            city = typo(r, city)
        if r.random() < p["state_full"]:
            state = STATE_NAME[state]
        k = r.random()
        if k < p["zip_typo"]:
            zc = digit_typo(r, zc)
        elif k < p["zip_typo"] + p["zip_missing"]:
            zc = ""
        elif r.random() < p["zip4"]:
            zc = f"{zc}-{rng(num, a['street'], zc).randrange(1000, 9999)}"
        if r.random() < p["addr_missing"]:
            line = u = ""
        # email
        e = st["email"]
        if r.random() < p["miss_email"]:
            e = ""
        else:
            loc, dom = e.split("@")
            if r.random() < p["email_typo"]:
                loc = typo(r, loc) if r.random() < 0.8 else digit_typo(r, loc)
            if dom == "gmail.com" and r.random() < p["dots"]:
                loc = (
                    loc.replace(".", "")
                    if "." in loc
                    else (loc[: len(loc) // 2] + "." + loc[len(loc) // 2 :])
                )
            if r.random() < p["plus"]:
                loc += "+" + r.choice(["coop", "food", "orders", "groups", "buy"])
            if dom in DOMAIN_TYPO and r.random() < p["email_domain_typo"]:
                dom = r.choice(DOMAIN_TYPO[dom])
            e = f"{loc}@{dom}"
            if r.random() < 0.05:
                e = e.title() if r.random() < 0.5 else e.upper()
        d = st["phone"]
        if r.random() < p["miss_phone"] and (e or r.random() < 0.15):
            d = ""
        if d:
            if r.random() < p["phone_typo"]:
                d = digit_typo(r, d)
            f = r.choice(
                [
                    "({}) {}-{}",
                    "{}-{}-{}",
                    "{}-{}-{}",
                    "{}.{}.{}",
                    "{}{}{}",
                    "{}{}{}",
                    "+1 {} {} {}",
                    "1-{}-{}-{}",
                    "+1{}{}{}",
                ]
            )
            d = f.format(d[:3], d[3:6], d[6:])
            if r.random() < p["phone_ext"]:
                d += " ext " + str(r.randrange(1, 400))
        k = r.random()
        if k < p["upper"]:
            first, mid, last, line, city = (x.upper() for x in (first, mid, last, line, city))
        elif k < p["upper"] + p["lower"]:
            first, mid, last, line, city = (x.lower() for x in (first, mid, last, line, city))
        if r.random() < p["spaces"]:
            first, last, line = first + " ", " " + last, line.replace(" ", "  ", 1)
        return [first, mid, last, suffix, line, u, city, state, zc, d, e]

    def signups(self):
        p, n, t0 = self.p, 0, datetime(2022, 1, 3)
        for hid, m in self.people():
            r = rng(self.seed, "signups", m["pid"])
            st = {
                "first": m["first"],
                "last": m["last"],
                "adr": m["adr"],
                "phone": m["phone"],
                "email": m["email"],
            }
            when = t0 + timedelta(minutes=r.randrange(700 * 1440))
            yield when, self.render(r, st, m), m["pid"], hid
            n += 1
            k = r.random()
            again = 2 if k < p["dup"] * p["triple"] else 1 if k < p["dup"] else 0
            for _ in range(again):
                if r.random() < p["same_day"]:
                    when += timedelta(minutes=r.randrange(2, 90))
                else:
                    when += timedelta(minutes=r.randrange(20 * 1440, 500 * 1440))
                    st = dict(st)
                    moved = r.random() < p["move"]
                    ne, np_ = r.random() < p["new_email"], r.random() < p["new_phone"]
                    if moved and ne and np_ and r.random() > 0.05:
                        ne = False
                    if moved:
                        old = st["adr"]
                        st["adr"] = self.address(r)
                        if r.random() < 0.55:
                            st["adr"]["z"] = old["z"]
                    if ne:
                        st["email"] = m["email2"]
                    if np_:
                        st["phone"] = phone_number(r, st["adr"]["z"])
                    if r.random() < p["rename"] * (1.7 if m["sex"] == "Female" else 0.2):
                        new = self.draw_last(r)
                        st["last"] = new if r.random() < 0.75 else f"{st['last']}-{new}"
                yield when, self.render(r, st, m), m["pid"], hid
                n += 1
            if n >= self.n:
                return


HEAD = [
    "id",
    "signup_date",
    "first",
    "middle",
    "last",
    "suffix",
    "street",
    "unit",
    "city",
    "state",
    "zip",
    "phone",
    "email",
    "true_id",
    "household_id",
]


def main():
    words = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    words.add_argument("--rows", type=int, required=True)
    words.add_argument("--seed", type=int, required=True)
    words.add_argument("--mix", choices=MIX, required=True)
    words.add_argument("--homes", choices=("even", "odd"), required=True)
    words.add_argument("--states", required=True, help="two letters each, with commas between")
    words.add_argument("--out", type=Path, required=True)
    said = words.parse_args()
    drawn = Gen(said.rows, said.seed, said.mix, said.homes, said.states.split(","))
    rows = sorted(drawn.signups(), key=lambda x: (x[0], x[2]))
    with said.out.open("w", newline="", encoding="utf-8") as file:
        lines = csv.writer(file)
        lines.writerow(HEAD)
        for i, (when, form, pid, hid) in enumerate(rows):
            lines.writerow([f"S{i:07d}", when.strftime("%Y-%m-%d"), *form, pid, hid])
    print(said.out, len(rows), "rows", len({x[2] for x in rows}), "people")


if __name__ == "__main__":
    main()
