"""Invented personal data from ranges reserved for fiction, so that a test can see them masked.

Telephone numbers: 555-01xx (North America), 01632 960xxx (UK, Ofcom), 1800 160 401 and 0491 57xxxx (Australia, ACMA lists for fiction);
addresses under example.com and example.org (RFC 2606).
"""

from __future__ import annotations

from fleetstats.synthetic.details import region_of
from fleetstats.synthetic.draws import Stream
from fleetstats.synthetic.things import Visit
from fleetstats.synthetic.wording import phrase

AUSTRALIAN = ("0491 570 006", "0491 570 156", "0491 570 157", "0491 570 158", "0491 570 159", "0491 570 110", "1800 160 401", "1800 975 707")


def contact(stream: Stream, visit: Visit) -> tuple[str, list[str]]:
    """A remark with a telephone number and an e-mail address, and the two strings."""
    number = {"US": f"202-555-01{stream.whole(0, 99):02d}", "CA": f"613-555-01{stream.whole(0, 99):02d}", "GB": f"01632 960{stream.whole(0, 999):03d}",
              "AU": stream.pick(AUSTRALIAN)}[visit.shop.country]
    address = f"renter{stream.whole(100, 9999)}@example.{'com' if stream.chance(0.5) else 'org'}"
    return phrase(stream, region_of(visit), "extra", "contact").format(phone=number, email=address), [number, address]
