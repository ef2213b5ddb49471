"""Things that callers may say of the members of a file, as a seed makes them, each with who is meant.

    python tests/benchmarks/calls.py MEMBERS.tsv SEED QUERIES.csv [NICKNAMES.csv]

MEMBERS.tsv is as tests/benchmarks/lookup.py takes it, and QUERIES.csv is what that asks next. NICKNAMES.csv
has a name and its pet forms on each line; use another list than the program's own (male_diminutives.csv of
github.com/HaJongler/diminutives.db, say, made from Wiktionary). Whoever fits as well what was meant to be
said is right too; at most two may. What is then said wrongly may fit somebody else better: that is a miss.
"""

from __future__ import annotations

import csv
import sys
from collections import defaultdict
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[1]))

from called_members import read

from onboard import tables
from onboard.lookup.facts import bare

Member = dict[str, str]
SOUNDS = (("th", "t"), ("ph", "f"), ("f", "ph"), ("ck", "k"), ("c", "k"), ("s", "z"), ("i", "y"), ("y", "i"),
          ("e", "a"), ("a", "e"), ("o", "u"), ("ei", "ie"), ("j", "g"), ("ll", "l"), ("nn", "n"), ("t", "tt"), ("n", "nn"), ("v", "w"))  # fmt: skip


class Caller:
    """Somebody who says things, mostly wrongly."""

    def __init__(self, members: list[Member], chance: Random, pets: dict[str, list[str]]) -> None:
        self.members, self.chance, self.pets = members, chance, pets
        self.sites = sorted({m["site"] for m in members})
        self.beside = {key: touches for key, touches, *_ in tables.rows("keyboard")}

    def slip(self, text: str, letters: str = "") -> str:
        """The text with one slip that fingers make; a digit slips to any digit."""
        pick = self.chance
        while True:
            at, way = pick.randrange(len(text)), pick.randrange(4)
            one = text[at]
            if way == 0:
                new = text[:at] + text[at + 1 :]
            elif way == 1:
                new = text[:at] + one + text[at:]
            elif way == 2:
                new = text[:at] + text[at + 1 : at + 2] + one + text[at + 2 :]
            else:
                new = text[:at] + pick.choice(letters or self.beside.get(one.lower(), one)) + text[at + 1 :]  # fmt: skip
            if new != text and len(new) > 1:
                return new

    def sound(self, word: str) -> str:
        """The word as it may be written by its sound."""
        ways = [(a, b) for a, b in SOUNDS if a in word[1:].lower()]
        if not ways:
            return self.slip(word)
        old, new = self.chance.choice(ways)
        return word[:1] + word[1:].lower().replace(old, new, 1)

    def either(self, member: Member, wrong: Callable[[str], str]) -> str:
        """First and last name, one of them said wrongly."""
        first, last = member["first"], member["last"]
        return f"{wrong(first)} {last}" if self.chance.random() < 0.4 else f"{first} {wrong(last)}"

    def both(self, member: Member, wrong: Callable[[str], str]) -> str:
        return f"{wrong(member['first'])} {wrong(member['last'])}"

    def pet(self, member: Member) -> str:
        return self.chance.choice(self.pets.get(member["first"].lower(), [""])).title()

    def digits(self, phone: str, slips: int) -> str:
        text = phone[2:]
        for _ in range(slips):
            at = self.chance.randrange(len(text))
            text = text[:at] + self.chance.choice("0123456789") + text[at + 1 :]
        return text


def calls(me: Caller) -> Iterator[tuple[str, int, str, Callable[[Member], str], str]]:
    """(kind, how many, what they meant to say, what they say of a member, site: "", "site" or "wrong")."""
    pick, slip, sound = me.chance, me.slip, me.sound
    name, first, last, tail = "first last", "first", "last", "tail"
    email = lambda m: m["email"]  # noqa: E731
    for site, sizes in (("site", (100, 50, 50, 80, 40)), ("", (80, 40, 40, 30, 20))):
        named = "site" if site else "nosite"
        yield f"name_typo_{named}", sizes[0], name, lambda m: me.either(m, slip), site
        yield f"name_2typo_{named}", sizes[1], name, lambda m: me.both(m, slip), site
        yield f"name_sound_{named}", sizes[2], name, lambda m: me.either(m, sound), site
        yield (
            f"nick_{named}",
            sizes[3],
            name,
            lambda m: (p := me.pet(m)) and f"{p} {m['last']}",
            site,
        )
        yield (
            f"nick_typo_{named}",
            sizes[4],
            name,
            lambda m: (p := me.pet(m)) and f"{p} {slip(m['last'])}",
            site,
        )
    yield (
        "former_site",
        40,
        "first former",
        lambda m: (
            m["former"]
            and f"{m['first']} {slip(m['former']) if pick.random() < 0.5 else m['former']}"
        ),
        "site",
    )
    yield (
        "former_unstored_phone4_site",
        25,
        f"{first} {tail}",
        lambda m: f"{m['first']} {pick.choice(me.members)['last']} {m['phone'][-4:]}",
        "site",
    )
    orders = (lambda m: f"{m['last']}, {m['first']}", lambda m: f"{m['last']} {m['first']}".lower(),
              lambda m: bare(m["first"] + m["last"]), lambda m: f"{m['first']} {m['last']}".upper())  # fmt: skip
    yield "order_caps_site", 40, name, lambda m: pick.choice(orders)(m), "site"
    yield (
        "first_initial_site",
        15,
        "initial last",
        lambda m: f"{m['first'][0]}. {m['last']}",
        "site",
    )
    yield (
        "hyphen_half_site",
        20,
        name,
        lambda m: ("-" in m["last"] and f"{m['first']} {pick.choice(m['last'].split('-'))}") or "",
        "site",
    )
    yield (
        "joint_site",
        20,
        name,
        lambda m: (
            " and ".join(pick.sample([m["first"], pick.choice(me.members)["first"]], 2))
            + f" {m['last']}"
        ),
        "site",
    )
    yield (
        "wrong_site",
        30,
        name,
        lambda m: f"{m['first']} {slip(m['last']) if pick.random() < 0.5 else m['last']}",
        "wrong",
    )
    yield "sentence", 20, name + " site", lambda m: pick.choice(("Hi this is {} from {}", "my name is {}, {} drop site", "{} at {} cannot sign in")).format(
        me.either(m, slip) if pick.random() < 0.4 else f"{m['first']} {m['last']}", m["site"]), ""  # fmt: skip
    yield (
        "email_typo",
        60,
        "email",
        lambda m: slip(email(m).partition("@")[0]) + "@" + email(m).partition("@")[2],
        "",
    )
    yield (
        "email_2edit",
        40,
        "email",
        lambda m: slip(slip(email(m).replace("@", "~"))).replace("~", "@"),
        "",
    )
    yield (
        "email_domain_typo",
        40,
        "email",
        lambda m: email(m).partition("@")[0] + "@" + slip(email(m).partition("@")[2]),
        "",
    )
    yield (
        "email_wrong_provider",
        20,
        "email",
        lambda m: (
            email(m).partition("@")[0] + "@" + email(pick.choice(me.members)).partition("@")[2]
        ),
        "",
    )
    yield "email_local_only", 20, "local", lambda m: email(m).partition("@")[0], ""
    yield (
        "phone_format",
        20,
        "phone",
        lambda m: pick.choice(
            ("({}) {}-{}", "1-{}-{}-{}", "{} {}{} cell", "+1 {} {} {}", "{}.{}.{}")
        ).format(m["phone"][2:5], m["phone"][5:8], m["phone"][8:]),
        "",
    )
    yield "phone_typo", 30, "phone", lambda m: slip(m["phone"][2:], "0123456789"), ""
    yield (
        "phone_2edit_first",
        20,
        f"{first} phone",
        lambda m: f"{m['first']} {me.digits(m['phone'], 2)}",
        "",
    )
    yield (
        "phone_last7",
        15,
        f"{first} seven",
        lambda m: f"{m['first']} {m['phone'][5:8]}-{m['phone'][8:]}",
        "",
    )
    yield (
        "phone4_first_site",
        20,
        f"{first} {tail}",
        lambda m: f"{m['first']} {m['phone'][-4:]}",
        "site",
    )
    yield "phone4_last_nosite", 25, f"{last} {tail}", lambda m: f"{m['last']} {m['phone'][-4:]}", ""
    yield (
        "handle_caps",
        30,
        "handle",
        lambda m: (
            pick.choice(("{} {}", "{}{}", "{}.{}", "@{}{}", "{}_{}")).format(m["first"], m["last"])
            + "".join(filter(str.isdigit, m["handle"]))
        ),
        "",
    )
    yield "handle_typo", 30, "handle", lambda m: slip(m["handle"]), ""
    yield "handle_2edit", 20, "handle", lambda m: slip(slip(m["handle"])), ""
    yield "combo_all_wrong", 30, "email", lambda m: f"{me.pet(m) or slip(m['first'])} {sound(m['last'])} {me.digits(m['phone'], 2)}", pick.choice(("", "site"))  # fmt: skip


def meant(member: Member, what: str, site: str) -> tuple[str, ...]:
    """What was meant to be said, folded: who has the same of it is right too."""
    more = {"tail": member["phone"][-4:], "seven": member["phone"][-7:], "initial": member["first"][0],
            "local": member["email"].partition("@")[0]}  # fmt: skip
    said = tuple(bare((member | more)[part]) for part in what.split())
    return (*said, member["site"]) if site == "site" else said


def main(members: Path, seed: int, queries: Path, nicknames: Path | None) -> None:
    pets: dict[str, list[str]] = defaultdict(list)
    for line in nicknames.read_text(encoding="utf-8").splitlines() if nicknames else ():
        full, *forms = line.lower().split(",")
        pets[full] += [form for form in map(str.strip, forms) if form.isalpha()]
    everybody = list(read(members, "\t"))
    me = Caller(everybody, Random(seed), {full: forms for full, forms in pets.items() if forms})
    chosen = []
    for kind, many, what, say, site in calls(me):
        if "nick" in kind and not pets:
            continue
        left = many
        while left:
            one = me.chance.choice(everybody)
            if text := say(one):
                chosen.append((kind, text, what, site, one))
                left -= 1
    wanted = {
        (what, site): defaultdict[tuple[str, ...], list[str]](list)
        for _, _, what, site, _ in chosen
    }
    for (what, site), found in wanted.items():
        keys = {meant(one, what, site) for _, _, w, s, one in chosen if (w, s) == (what, site)}
        for member in everybody:
            if (key := meant(member, what, site)) in keys:
                found[key].append(member["id"])
    with queries.open("w", encoding="utf-8", newline="") as text_file:
        out = csv.writer(text_file)
        out.writerow(("qid", "kind", "text", "site", "truth_ids"))
        for at, (kind, text, what, site, one) in enumerate(chosen):
            right = wanted[what, site][meant(one, what, site)]
            named = {"": "", "site": one["site"], "wrong": me.chance.choice(me.sites)}[site]
            if len(right) < 3:
                out.writerow((f"s{at}", kind, text, named, "|".join(right)))


if __name__ == "__main__":
    main(
        Path(sys.argv[1]),
        int(sys.argv[2]),
        Path(sys.argv[3]),
        Path(sys.argv[4]) if len(sys.argv) > 4 else None,
    )
