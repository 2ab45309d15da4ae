import contextlib
import datetime as dt
import decimal
import io

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from fleetstats.errors import InputRefused
from fleetstats.sources import read_sources
from fleetstats.sources.parquet_files import read_parquet
from fleetstats.sources.profile import Format


def _bytes(table: pa.Table) -> bytes:
    memory = io.BytesIO()
    pq.write_table(table, memory)
    return memory.getvalue()


TABLE = pa.table({
    "text": [" x ", None, "y"], "whole": [2**60, None, 1], "day": [dt.date(2020, 1, 2), None, None], "money": [decimal.Decimal("1.20"), None, None],
    "flag": [False, None, None], "van": [{"id": "V1"}, None, None], "tags": [["a"], None, None], "raw": [b"z", None, None],
    "moment": pa.array([dt.datetime(2020, 1, 2, 23, 30), None, None], pa.timestamp("us", tz="America/Denver")), "nothing": pa.nulls(3),
})


def test_values_come_as_they_lie_and_what_cannot_be_held_is_told():
    """Whole numbers stay whole, dates dates; a moment with a zone stays a text, whose day is the profile's to say; lists and bytes are noted."""
    sheet = read_parquet(_bytes(TABLE), "x.parquet", Format(kind="parquet"))[0]
    first = sheet.cells.loc[1]
    assert first[["text", "whole", "day", "money", "flag", "van.id"]].tolist() == ["x", 2**60, dt.date(2020, 1, 2), 1.2, "False", "V1"]
    assert isinstance(first["moment"], str)
    assert [note.column for note in sheet.notes] == ["tags", "raw"]
    assert (sheet.blank, list(sheet.cells.index), sheet.rows_read) == ((2,), [1, 3], 3)


def test_every_broken_byte_is_a_refusal_or_a_value():
    """Footer, pages and headers of columns turned over one byte at a time; never anything but a refusal or a sheet."""
    whole = _bytes(TABLE)
    for place in range(0, len(whole), 23):
        broken = whole[:place] + bytes([whole[place] ^ 0xFF]) + whole[place + 1:]
        with contextlib.suppress(InputRefused):
            assert read_parquet(broken, "x.parquet", Format(kind="parquet"))[0].rows_read == 3


@pytest.mark.parametrize("data", [_bytes(TABLE)[:-9], b"PAR1" + b"\xff" * 100 + b"PAR1", b"PAR1PAR1", _bytes(pa.table({}))])
def test_a_wrong_footer_is_refused(data: bytes):
    """Cut off, filled with nonsense, or without a column."""
    with pytest.raises(InputRefused, match=r"^x\.parquet"):
        read_parquet(data, "x.parquet", Format(kind="parquet"))


def test_a_parquet_file_with_our_own_headings_needs_no_profile(write_project):
    """Its headings name the table; days, truth values and addresses come through, and a moment in UTC is left empty with its row and column."""
    table = pa.table({"vehicle_id": ["V1", "V2", "V3"], "working": [True, False, None], "date": pa.array(
        [dt.datetime(2021, 3, 4, 0, 0), dt.datetime(2021, 3, 5, 9, 30), None], pa.timestamp("us"))})
    source, = read_sources(write_project({"seen.parquet": _bytes(table)}))
    assert (source.table, source.source, source.rows_read) == ("sightings", "seen", 3)
    assert source.rows[["vehicle_id", "row", "working"]].astype(object).to_numpy().tolist() == [["V1", 1, True], ["V2", 2, False]]
    assert source.rows["date"].dt.date.tolist() == [dt.date(2021, 3, 4), dt.date(2021, 3, 5)]
    assert [(fate, reason) for fate, reason in source.fates[["fate", "reason"]].to_numpy().tolist()] == [("rejected", "no date")]
    zoned = pa.table({"vehicle_id": ["V1"], "date": pa.array([dt.datetime(2021, 3, 4, 2, 30)], pa.timestamp("us", tz="UTC"))})
    source, = read_sources(write_project({"seen.parquet": _bytes(zoned)}))
    assert ("a moment in UTC, whose day depends on the place", 1, "date") in [(problem.what, problem.row, problem.column) for problem in source.problems]


def test_a_parquet_file_of_other_headings_is_refused_with_the_nearest(write_project):
    """One heading that is nearly ours is named."""
    with pytest.raises(InputRefused, match=r'seen\.parquet.*If "vehicle_ids" should be "vehicle_id"'):
        read_sources(write_project({"seen.parquet": _bytes(pa.table({"vehicle_ids": ["V1"], "date": [dt.date(2021, 3, 4)]}))}))
