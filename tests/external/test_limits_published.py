"""Exposure and flammability limits that are printed as cautions, against their sources."""

import re

import pytest

from fleetstats.safety.cautions import read_hazards

PUBLISHED = {
    "ammonia_osha": (50.0,), "ammonia_niosh": (25.0, 35.0), "ammonia_idlh": (300.0,), "ammonia_flammable": (15.0,), "hydrogen_flammable": (4.0, 75.0),
    "chromium_osha": (5.0, 2.5), "chromium_niosh": (0.2,), "lp_gas": (2.1, 9.5),
}
"""ppm, per cent by volume or ug/m3. 29 CFR 1910.1000 table Z-1 (ammonia 50 ppm); NIOSH IDLH documentation and Pocket Guide (25, 35 over 15 minutes, 300; lower
limit 15 %); 29 CFR 1910.1026 (chromium VI: 5, action level 2.5); NIOSH criteria document 2013-128 (0.2); hydrogen 4 to 75 % (secondary pages); OSHA
chemical data (propane 2.1 to 9.5 %)."""


@pytest.mark.parametrize("code", sorted(PUBLISHED))
def test_the_numbers_of_a_limit(code: str):
    """Every published figure stands in the text that is printed, with a source beside it."""
    hazard, = (one for one in read_hazards() if one.code == code)
    printed = {float(figure) for figure in re.findall(r"\d+(?:\.\d+)?", hazard.limit)}
    assert printed >= set(PUBLISHED[code])
    assert hazard.source
