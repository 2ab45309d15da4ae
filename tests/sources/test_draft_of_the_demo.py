"""Drafts of the demo's files, finished as their comments say, against the profiles that were written by hand."""

import re
import shutil
import tomllib
from pathlib import Path

import pandas as pd
import pytest

from fleetstats.documents import validate
from fleetstats.settings import Project
from fleetstats.sources import Profile, draft_profile, load_profiles, read_sources
from fleetstats.sources.columns import fold

DEMO = Path(__file__).parents[2] / "synthetic_data"
PROFILES = load_profiles(DEMO / "profiles")
KEYS = ["document", "date_in", "date_out", "tested_on", "received_on", "vehicle_id", "serial", "removed_serial", "fitted_serial", "total_cost",
    "labour_hours", "payer",
    "outcome", "removal_reason", "fitted_kind", "fitted_origin", "price_basis", "in_service", "first_origin", "symptom", "action", "size_l"]
HEADING, WORD = re.compile(r'# ("(?:[^"\\]|\\.)*") = "\.\.\."'), re.compile(r'# ("(?:[^"\\]|\\.)*") = "([^"]*)"   # ')


def _finished(draft: str, own: Profile) -> str:
    """The draft with its open lines filled by somebody who knows the shop; what the draft found is left as it is."""
    values = {name: {fold(text): target for text, target in words.items()} for name, words in own.values.items()}
    lines, section = [], ""
    for line in draft.splitlines():
        found = re.match(r"#? ?\[([\w.]+)\]", line)
        section = found[1] if found else section
        if section == "columns" and (heading := HEADING.match(line)) and not found:
            name = own.columns.get(tomllib.loads(f"x = {heading[1]}")["x"])
            taken = name is None or name in _taken(draft)
            line = "" if taken else f'{heading[1]} = "{name}"'
        elif section.startswith("values.") and (word := WORD.match(line)):
            target = values.get(section[7:], {}).get(tomllib.loads(f"x = {word[1]}")["x"], word[2])
            line = "" if target == "..." else f'{word[1]} = "{target}"'
        elif section == "constants" and line.startswith("# "):
            line = "".join(f'{name} = "{value}"\n' for name, value in own.constants.items())
        lines.append(line)
    text = "\n".join(lines).replace("mixed = false", f"mixed = {str(own.mixed).lower()}").replace('# tax = "..."', f'tax = "{own.money.tax}"')
    text = text.replace("# [furniture]", "[furniture]").replace("# first_cell", "first_cell")
    if own.money.currency:
        text = text.replace('# currency = "..."', f'currency = "{own.money.currency}"').replace("[money]", f"[money]\ntax_rate = {own.money.tax_rate or 0}")
    return text if "[constants]" in text or not own.constants else text + "\n[constants]\n" + "".join(f'{n} = "{v}"\n' for n, v in own.constants.items())


def _taken(draft: str) -> set[str]:
    return {name for name in tomllib.loads(draft)["columns"].values() if not name.endswith("_text")}


@pytest.mark.parametrize("source", sorted(PROFILES))
def test_a_finished_draft_reads_the_file_like_the_profile_written_by_hand(source: str, tmp_path: Path):
    """As it stands the draft is a valid profile; with its open lines filled it gives the rows, days, serials, words and money of the hand-written one."""
    raw = min((DEMO / "raw").glob(PROFILES[source].files[0]))
    draft = draft_profile(raw)
    assert validate(tomllib.loads(draft), Profile, file="draft.toml").table == PROFILES[source].table
    project = Project(tmp_path)
    project.raw.mkdir()
    project.profiles.mkdir()
    shutil.copy(raw, project.raw / raw.name)
    (project.profiles / "shop.toml").write_text(_finished(draft, PROFILES[source]), encoding="utf-8")
    drafted, = read_sources(project)
    shutil.copy(DEMO / "profiles" / f"{source}.toml", project.profiles / "shop.toml")
    by_hand, = read_sources(project)
    assert len(drafted.rows) == len(by_hand.rows) > 0
    read_as = tomllib.loads(draft)["columns"]
    same_texts = all(read_as.get(heading) == name for heading, name in PROFILES[source].columns.items() if name.endswith("_text"))
    names = [name for name in KEYS if name in by_hand.rows and (same_texts or name not in ("symptom", "action"))]
    pd.testing.assert_frame_equal(drafted.rows[names], by_hand.rows[names])
