"""Place: where a member lives and collects, and how many a drop site has."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from onboard.audit.observation import Observation
from onboard.audit.record import Brief, Rules
from onboard.clean import address, sites
from onboard.clean import place as places
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
KINDS = (THIN_SITE, CROWDED_SITE)


def among(briefs: Iterable[Brief], rules: Rules) -> Iterator[Observation]:
    """Open sites that have few or very many members."""
    rule = rules.settings.audit
    counts = Counter(brief.site for brief in briefs if brief.is_open)
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
        elif count > rule.site_most:
            note = (
                f"{site.name} has {people}, more than {rule.site_most}. Ask its host if that works, "
                "or if you need another drop site."
            )
            yield Observation(f"site:{site.name}", CROWDED_SITE.found(str(count), note))
