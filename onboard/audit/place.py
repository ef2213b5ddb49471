"""Place: where a member lives and collects, and how many a drop site has."""

from __future__ import annotations

import re
from collections.abc import Iterator

from onboard.audit.briefs import Briefs
from onboard.audit.observation import Observation, about
from onboard.audit.record import Record, Rules
from onboard.clean import address, sites
from onboard.clean import place as places
from onboard.clean.address.kinds import KEPT_ASIDE
from onboard.model import Kind, Weight

# What the clean rules say of addresses, places and sites, but for what is put right by itself.
CODES = frozenset(
    k.code for k in (*address.KINDS, *places.KINDS, *sites.KINDS) if k.weight is not Weight.MENDED
)

THIN_SITE = Kind(
    "place.thin_site", Weight.DOUBTFUL,
    "A drop site has few members.",
    "site: Lima Grange Hall", "site: Lima Grange Hall| site: Lima Grange Hall; given: Robin",
)  # fmt: skip
CROWDED_SITE = Kind(
    "place.crowded_site", Weight.DOUBTFUL,
    "A drop site has very many members.",
    "| ".join(f"site: Lima Grange Hall; given: {n}" for n in ("Ada", "Kim", "Lou", "Sam")),
    "site: Lima Grange Hall| site: Lima Grange Hall; given: Robin",
)  # fmt: skip
BOX_ONLY = Kind(
    "place.box_only", Weight.DOUBTFUL,
    "There is only a post office box: nobody knows where the member lives.",
    "street: PO BOX 12", "street: 12 N MAIN ST",
)  # fmt: skip
KINDS = (THIN_SITE, CROWDED_SITE, BOX_ONLY)

# Kinds of address (`model.Address`) at which nobody lives.
_NO_HOME = frozenset(("po box", "general delivery"))
_STREET = re.compile(r"(?:^|[:;] )\d+[A-Z]?\s+\S")  # one that stands beside the box
_BOX = re.compile(
    r"\b(?:pmb|p\.?\s*[o0]\.?\s*bo?x|(?:post|mail|lock|postal)\s*box)\s*\S{0,6}\s*\d+",
    re.IGNORECASE,
)


def look(account: Record, rules: Rules) -> Iterator[Observation]:
    """That a member gets mail, but that nobody knows where they live."""
    cleaned = account.applicant.address
    where = cleaned.value
    if not account.is_open or where is None:
        return
    if where.kind in _NO_HOME:
        box = " ".join(where.lines)
    elif not where.number and (found := _BOX.search(cleaned.said)):
        box = found[0]
    else:
        return
    beside = [*where.aside, *(d.note for d in account.doubts if d.code == KEPT_ASIDE.code)]
    if any(map(_STREET.search, beside)):
        return
    note = (
        f"Mail gets to {box}, but nobody lives there. Ask for the street where they live: it says which drop "
        "site is close, and where to bring an order. Keep the box for mail."
    )
    yield about(account, BOX_ONLY, cleaned.said, note)


def among(briefs: Briefs, rules: Rules) -> Iterator[Observation]:
    """Open sites that have few or very many members."""
    rule = rules.settings.audit
    counts = briefs.counted("site")
    if counts and not any(counts):
        return  # nobody's site is known, and so not how many collect anywhere
    for site in rules.settings.sites:
        count = counts[site.name]
        if site.closed:
            continue
        people = "1 member" if count == 1 else f"{count:,} members"
        if count < rule.site_least:
            note = (
                f"{site.name} has {people}, fewer than {rule.site_least}. Ask its host if it should stay open, "
                "and tell people in the neighborhood about it."
            )
            yield Observation(f"site:{site.name}", THIN_SITE.found(str(count), note))
        elif count > (most := site.capacity or rule.site_most):
            note = (
                f"{site.name} has {people}, more than {most:,}. Ask its host if that works, "
                "or if you need another drop site."
            )
            yield Observation(f"site:{site.name}", CROWDED_SITE.found(str(count), note))
