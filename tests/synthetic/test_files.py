"""The shipped files: regenerated alike, every address of truth.json real, every disease to be seen where it is said to be."""

import csv
import io
import json

import pytest
from python_calamine import CalamineWorkbook

from fleetstats.documents import read_toml
from fleetstats.synthetic import write_demo

FATES = {"accepted", "merged", "superseded", "set aside", "rejected", "furniture"}


def sheets_of(path, encoding="utf-8", delimiter=","):
    """The rows of every sheet of a file by sheet name, None for CSV; row 1 is the first."""
    if path.suffix == ".xlsx":
        book = CalamineWorkbook.from_path(str(path))
        return {name: book.get_sheet_by_name(name).to_python(skip_empty_area=False) for name in book.sheet_names}
    return {None: list(csv.reader(io.StringIO(path.read_bytes().decode(encoding)), delimiter=delimiter))}


@pytest.fixture(scope="module")
def cells(shipped):
    formats = {}
    for profile in sorted((shipped / "profiles").glob("*.toml")):
        content = read_toml(profile)
        for pattern in content["files"]:
            formats |= {path.name: content for path in (shipped / "raw").glob(pattern)}
    found = {}
    for path in sorted((shipped / "raw").iterdir()):
        layout = formats.get(path.name, {}).get("format", {})
        found[path.name] = sheets_of(path, layout.get("encoding", "utf-8"), layout.get("delimiter", ","))
    return found


@pytest.fixture(scope="module")
def again(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo") / "project"
    write_demo(folder)
    return folder


def test_regeneration_equals_the_shipped_files(shipped, again):
    """Text files by bytes, workbooks by cells, truth.json by content."""
    assert sorted(path.name for path in (again / "raw").iterdir()) == sorted(path.name for path in (shipped / "raw").iterdir())
    for path in (shipped / "raw").iterdir():
        if path.suffix == ".xlsx":
            assert sheets_of(path) == sheets_of(again / "raw" / path.name)
        else:
            assert path.read_bytes() == (again / "raw" / path.name).read_bytes(), path.name
    assert json.loads((shipped / "truth.json").read_text("utf-8")) == json.loads((again / "truth.json").read_text("utf-8"))


def test_static_files_are_copied(shipped, again):
    """Settings, scenario and profiles of a written project are those shipped."""
    for name in ("fleetstats.toml", "scenario.toml", "profiles/harbour.toml"):
        assert (again / name).read_bytes() == (shipped / name).read_bytes()


def test_every_line_has_its_fate(truth, cells):
    """truth.json names every line of every file but the headings, once, with a declared fate."""
    assert set(truth["rows"]) == set(cells)
    for file, sheets in cells.items():
        named = [(sheet, row) for row, sheet, _, _ in truth["rows"][file]]
        assert len(named) == len(set(named))
        assert {fate for *_, fate in truth["rows"][file]} <= FATES
        assert len(named) == sum(len(rows) for rows in sheets.values()) - len(sheets), file


def test_every_event_is_accepted_once(truth):
    """Lines of one visit: one accepted (or replaced by an accepted correction), the others merged or superseded."""
    accepted = [event for file, rows in truth["rows"].items() if "bench" not in file and "register" not in file
                for _, _, event, fate in rows if event and fate == "accepted"]
    assert len(accepted) == len(set(accepted)) == truth["counts"]["visits"]


def test_planted_addresses_are_real(truth, cells):
    """Every planted line stands in its file, and its fate is the one its disease says."""
    for disease, planted in truth["planted"].items():
        assert planted["count"] == len(planted["rows"]) > 0, disease
        for row in planted["rows"]:
            line = cells[row["file"]][row["sheet"]][row["row"] - 1]
            assert any(cell not in ("", None) for cell in line), (disease, row)
            fates = {fate for number, sheet, _, fate in truth["rows"][row["file"]] if (number, sheet) == (row["row"], row["sheet"])}
            if "fate" in row and disease != "duplicate_across":
                assert fates == {row["fate"]}, (disease, row)


def line_text(cells, row):
    """The cells of a planted line as one text."""
    return " | ".join(str(cell) for cell in cells[row["file"]][row["sheet"]][row["row"] - 1])


def test_diseases_can_be_seen(truth, cells):
    """What is said to be wrong is wrong in the file: confused letters, word for money, odd hours, glued readings, personal strings."""
    planted = truth["planted"]
    for row in planted["letter_for_digit"]["rows"]:
        text = line_text(cells, row).replace("-", "")
        assert row["serial"] not in text
        assert row["serial"] in text.translate(str.maketrans("OI", "01")), row
    for row in planted["warranty_word"]["rows"]:
        assert "warranty" in line_text(cells, row) or "garantie" in line_text(cells, row)
    for row in planted["hours_written"]["rows"]:
        assert any(mark in line_text(cells, row) for mark in (":", "h", "m", "/"))
    for row in planted["personal"]["rows"]:
        assert all(text in line_text(cells, row) for text in row["strings"])
    for row in planted["glued_reading"]["rows"]:
        assert any(f"{digit}{unit}" in line_text(cells, row) for digit in "0123456789" for unit in ("ohm", "wc", "mbar", "kpa"))


def test_serials_missing_or_swapped(truth, cells):
    """A missing serial does not stand in its line; swapped ones both do, and the units of truth.json have them right."""
    for row in truth["planted"]["missing_serial"]["rows"]:
        assert row["serial"] not in line_text(cells, row).replace("-", "")
    for row in truth["planted"]["swapped_serials"]["rows"]:
        text = line_text(cells, row).replace("-", "")
        assert text.index(row["fitted_serial"]) < text.index(row["removed_serial"])


def test_raw_is_small(shipped):
    """raw/ holds eight files or more and less than 6 MB."""
    sizes = [path.stat().st_size for path in (shipped / "raw").iterdir()]
    assert len(sizes) >= 8
    assert sum(sizes) < 6_000_000


def test_shares_are_those_of_the_units(truth):
    """needless_share over all shops is the mean of the units' own flags."""
    flags = [unit["needless"] for unit in truth["units"]]
    assert truth["needless_share"]["all_shops"] == pytest.approx(sum(flags) / len(flags))
    assert truth["counts"] == {"visits": truth["counts"]["visits"], "condemned": len(flags), "needless": sum(flags)}


def test_every_disease_of_the_trade_is_planted(truth):
    """The diseases that records of this trade have, each at least five times."""
    wanted = ("duplicate_within", "duplicate_across", "resubmitted", "split", "sublet", "comeback", "comeback_day_three", "swapped_serials", "missing_serial",
              "letter_for_digit", "closed_before_opened", "default_date", "total_as_row", "warranty_word", "hours_written", "glued_reading", "negation",
              "suspicion", "personal", "corrected", "correction", "bench_without_serial")
    assert {name: truth["planted"][name]["count"] for name in wanted if truth["planted"][name]["count"] < 5} == {}


def test_every_phrase_file_reads_french_in_cp1252(shipped):
    """The French file is cp1252, not UTF-8, and holds decimal commas with a hard space in thousands."""
    data = (shipped / "raw" / "atelier_factures.csv").read_bytes()
    with pytest.raises(UnicodeDecodeError):
        data.decode("utf-8")
    assert "\u00a0" in data.decode("cp1252")


def test_every_parameter_has_its_reason(shipped):
    """Every value of scenario.toml but a name has a remark beside it that says why."""
    lines = (shipped / "scenario.toml").read_text("utf-8").splitlines()
    assert [line for line in lines if " = " in line and "#" not in line and not line.startswith("name = ")] == []
