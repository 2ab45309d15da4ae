"""What a profile leaves open, and what that costs."""

from __future__ import annotations

from collections.abc import Iterator

from fleetstats.sources.columns import shown
from fleetstats.sources.money_columns import money_columns
from fleetstats.sources.profile import Profile
from fleetstats.sources.vehicle_marks import MARKS

NAMED = 6
"""Headings that are named; the others are counted."""


def unfinished(profile: Profile, unused: tuple[str, ...] = ()) -> tuple[str, ...]:
    """One sentence for each thing that is left open, the costliest first. unused: headings of the files without a column of ours."""
    return (*_vehicle(profile), *_money(profile), *_shop(profile), *_unused(unused))


def _given(profile: Profile) -> set[str]:
    return {*profile.columns.values(), *profile.constants}


def _vehicle(profile: Profile) -> Iterator[str]:
    if "vehicle_id" in profile.canonical.columns and not _given(profile) & {"vehicle_id", *MARKS}:
        yield "No column is vehicle_id: the rows belong to no vehicle's history, and no life, come-back or rate counts them."


def _money(profile: Profile) -> Iterator[str]:
    given = _given(profile)
    if not given & set(money_columns(profile.canonical)) or "price_basis" in given:
        return
    if profile.money.currency is None:
        yield 'currency under [money] is not stated: no amount counts. Write currency = "..." (ISO 4217).'
    if profile.money.tax == "unknown" and profile.money.tax_column is None:
        yield 'tax under [money] is not stated: no amount counts. Write tax = "net", or tax = "gross" with tax_rate.'


def _shop(profile: Profile) -> Iterator[str]:
    if profile.table == "visits" and "shop" not in _given(profile):
        yield 'No shop is named: the visits enter no comparison of shops. Write shop = "..." under [constants].'


def _unused(unused: tuple[str, ...]) -> Iterator[str]:
    if unused:
        more = f" and {len(unused) - NAMED} more" if len(unused) > NAMED else ""
        count = "1 column of the file has" if len(unused) == 1 else f"{len(unused)} columns of the file have"
        yield f"{count} no column of ours and {'is' if len(unused) == 1 else 'are'} not read: {', '.join(shown(heading) for heading in unused[:NAMED])}{more}."
