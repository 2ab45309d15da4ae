import gzip
import io
import json
import lzma
import os
import resource
import sqlite3
import struct
import subprocess
import sys
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path

import pytest

from fleetstats.documents import validate
from fleetstats.errors import InputRefused
from fleetstats.settings import Project
from fleetstats.sources import Profile, read_sources
from fleetstats.sources.compressed import unpacked
from fleetstats.sources.profile import Format
from fleetstats.sources.workbooks import read_workbook
from tests.sources.books import ods, ods_row, repacked, xlsx

GIBIBYTE = 1 << 30
SECONDS = 60
READING = """
import resource, sys
from pathlib import Path
from fleetstats.errors import InputRefused
from fleetstats.settings import Project
from fleetstats.sources import read_sources
try:
    for source in read_sources(Project(Path(sys.argv[1]))):
        print("read", source.rows_read, len(source.problems))
except InputRefused as refusal:
    print("refused", *refusal.problems, sep="\\n")
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024)
"""
PROFILE = 'files = ["shop.*"]\ntable = "sightings"\n[format]\nkind = "{kind}"\n{more}\n[columns]\nvan = "vehicle_id"\nday = "date"\nok = "working"\n'
HEAD = ["van", "day", "ok"]
CSV = b"van,day,ok\nV1,2021-03-01,yes\n"


def _book(*rows: list[str]) -> bytes:
    def fill(book) -> None:
        sheet = book.add_worksheet("2019")
        for number, row in enumerate([HEAD, *rows]):
            sheet.write_row(number, 0, row)
    return xlsx(fill)


def _in_sheet(change: Callable[[bytes], bytes]) -> bytes:
    return repacked(_book(["V1", "2021-03-01", "yes"]), lambda name, content: change(content) if "sheet1.xml" in name else content)


def _patched(data: bytes, part: str, length: int) -> bytes:
    """A workbook in which one part is replaced by as many bytes of one tag, packed as small as they go, and its directory says it holds ten bytes."""
    head, end = b'<?xml version="1.0"?><a>', b"</a>"
    packer = zlib.compressobj(9, zlib.DEFLATED, -zlib.MAX_WBITS)
    packed = packer.compress(head) + b"".join(packer.compress(b"<b/>" * (1 << 18)) for _ in range(length >> 20)) + packer.compress(end) + packer.flush()
    return _with_packed(data, part, packed)


def _with_packed(data: bytes, part: str, packed: bytes) -> bytes:
    """The archive written anew with a member's packed bytes taken as given."""
    memory = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(memory, "w", zipfile.ZIP_STORED) as new:
        for name in old.namelist():
            new.writestr(name, packed if name == part else old.read(name))
        member = new.getinfo(part)
    made = bytearray(memory.getvalue())
    struct.pack_into("<H", made, member.header_offset + 8, zipfile.ZIP_DEFLATED)
    struct.pack_into("<I", made, member.header_offset + 22, 10)
    place = made.index(part.encode(), made.rindex(b"PK\x01\x02", 0, made.rindex(part.encode()))) - 46
    struct.pack_into("<H", made, place + 10, zipfile.ZIP_DEFLATED)
    struct.pack_into("<I", made, place + 24, 10)
    return bytes(made)


def _long_cell(xml: bytes) -> bytes:
    text = os.urandom(50_000_000).hex().encode()
    return xml.replace(b"</row>", b'<c r="D1" t="inlineStr"><is><t>' + text + b"</t></is></c></row>", 1)


def _with_entities(_name: str, xml: bytes) -> bytes:
    return xml.replace(b"<office:doc", BOMB + b"<office:doc", 1)


BOMB = b'<!DOCTYPE a [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]>'
ENDLESS = "with recursive c(x) as (select 1 union all select x + 1 from c) select x as van, x as day, x as ok from c order by -x"
HOSTILE: dict[str, tuple[str, str, Callable[[], bytes], str]] = {
    "a part of a workbook that grows to 1.5 GB": ("xlsx", "", lambda: _patched(_book(), "xl/worksheets/sheet1.xml", 1_500_000_000), "grow to more than"),
    "shared texts that grow to 1.5 GB": ("xlsx", "", lambda: _patched(_book(), "xl/sharedStrings.xml", 1_500_000_000), "grow to more than"),
    "a cell of 100 MB in a workbook": ("xlsx", "", lambda: _in_sheet(_long_cell), "without end"),
    "entities in a sheet": ("xlsx", "", lambda: _in_sheet(lambda xml: xml.replace(b"<worksheet", BOMB + b"<worksheet", 1)), "entities"),
    "entities in the list of sheets": ("xlsx", "", lambda: repacked(_book(), lambda name, xml: xml.replace(b"<workbook", BOMB + b"<workbook", 1)), "entities"),
    "entities in an ODS": ("ods", "", lambda: repacked(ods(ods_row(*HEAD)), _with_entities), "entities"),
    "a workbook that is a picture": ("xlsx", "", lambda: b"\x89PNG\r\n\x1a\n" + b"\0" * 500, "not a complete workbook"),
    "a workbook that is another archive": ("xlsx", "", lambda: repacked(_book(), lambda name, content: b"x"), "not a complete workbook"),
    "a cell of 100 MB in CSV": ("csv", "", lambda: CSV + b'V2,"' + b"x" * 100_000_000 + b'",yes\n', "longer than"),
    "NUL signs in CSV": ("csv", "", lambda: CSV + b"V2,2021-\0-01,yes\n", "NUL"),
    "a JSON of a hundred thousand levels": ("json", "", lambda: b'{"van": ' * 100_000, "nested too deeply"),
    "a JSON of thirty million empty lists": ("json", "", lambda: b"[" + b"[]," * 30_000_000 + b"[]]", "too much"),
    "a Parquet with a wrong footer": ("parquet", "", lambda: b"PAR1" + b"\xff" * 1000 + b"PAR1", "not a whole Parquet"),
    "a SQLite file that is none": ("sqlite", 'query = "select van, day, ok from seen"', lambda: b"SQLite format 3\0" + b"\xff" * 5000, "refused or failed"),
    "a query that leads out": ("sqlite", "query = \"attach '/etc/passwd' as p\"", lambda: _empty_database(), "refused or failed"),
    "a query that sorts without end": ("sqlite", f'query = "{ENDLESS}"', lambda: _empty_database(), "more memory"),
}


def _empty_database() -> bytes:
    connection = sqlite3.connect(":memory:")
    connection.execute("create table seen(van, day, ok)")
    return connection.serialize()


def _project(folder: Path, file: str, data: bytes, profile: str | None = None) -> Project:
    (folder / "raw").mkdir()
    (folder / "profiles").mkdir()
    (folder / "fleetstats.toml").write_text("as_of = 2025-12-31\n", encoding="utf-8")
    (folder / "raw" / file).write_bytes(data)
    if profile:
        (folder / "profiles" / "shop.toml").write_text(profile, encoding="utf-8")
    return Project(folder)


@pytest.mark.parametrize("case", HOSTILE)
def test_a_hostile_file_is_refused_in_bounded_time_and_memory(tmp_path, case: str):
    """In a process of its own: a refusal that says what is wrong, within a minute and a GiB, without a traceback."""
    kind, more, made, told = HOSTILE[case]
    _project(tmp_path, f"shop.{'db' if kind == 'sqlite' else kind}", made(), PROFILE.format(kind=kind, more=more))
    run = subprocess.run([sys.executable, "-c", READING, str(tmp_path)], capture_output=True, text=True, timeout=SECONDS, check=False)
    assert (run.returncode, run.stderr) == (0, "")
    *said, peak = run.stdout.splitlines()
    assert said[0] == "refused"
    assert any(told in line for line in said[1:]), said
    assert int(peak) < GIBIBYTE


def test_packed_bombs_are_refused_within_the_same_memory(tmp_path):
    """A .gz that grows to 2 GB: refused by how much it grows."""
    packer = gzip.compress(b"0" * (1 << 20)) * 2000
    _project(tmp_path, "shop.csv.gz", packer, PROFILE.format(kind="csv", more=""))
    run = subprocess.run([sys.executable, "-c", READING, str(tmp_path)], capture_output=True, text=True, timeout=SECONDS, check=False)
    assert "grow to more than" in run.stdout
    assert int(run.stdout.splitlines()[-1]) < GIBIBYTE


def test_formulas_are_values_and_never_run():
    """A formula's stored value is read; a text that begins like a formula stays a text."""
    def fill(book) -> None:
        sheet = book.add_worksheet("2019")
        sheet.write_row(0, 0, HEAD)
        sheet.write_formula(1, 0, '=CONCATENATE("V", 1)', None, "V1")
        sheet.write_string(1, 1, "2021-03-01")
        sheet.write_string(1, 2, "=cmd|' /C calc'!A1")
    assert read_workbook(xlsx(fill), "s.xlsx", Format(kind="xlsx"))[0].cells.iloc[0].tolist() == ["V1", "2021-03-01", "=cmd|' /C calc'!A1"]


@pytest.mark.parametrize("pattern", [
    "../x.csv", "/etc/passwd", "http://host/x.csv", "\\\\server\\share\\x.csv", "a/../../x.csv", "C:\\x.csv", "file:///etc/passwd", "~/x.csv", "..", "",
    "a\0.csv", "a\n.csv",
])
def test_a_profile_reaches_nothing_outside_of_raw(pattern: str):
    """Ways upwards, absolute ones and remote addresses are refused with the field."""
    with pytest.raises(InputRefused, match="'files'.*leads out of raw/"):
        validate({"files": [pattern], "columns": {"a": "vehicle_id"}}, Profile, file="shop.toml")


def _link_out(raw: Path) -> None:
    outside = raw.parent / "outside.csv"
    outside.write_bytes(CSV)
    (raw / "linked.csv").symlink_to(outside)


def _link_to_folder(raw: Path) -> None:
    (raw / "all.csv").symlink_to("/")


def _loop(raw: Path) -> None:
    (raw / "a.csv").symlink_to(raw / "b.csv")
    (raw / "b.csv").symlink_to(raw / "a.csv")


@pytest.mark.parametrize(("put", "told"), [
    (lambda raw: os.mkfifo(raw / "pipe.csv"), "a pipe"), (_link_out, "outside of raw"), (_link_to_folder, "a link to a folder"), (_loop, "leads nowhere"),
    (lambda raw: (raw / "null.csv").symlink_to("/dev/zero"), "a device"), (lambda raw: (raw / "here.csv").symlink_to(raw), "a link to a folder"),
    (lambda raw: (raw / "a\x1b[2J.csv").write_bytes(CSV), "cannot be seen"), (lambda raw: (raw / "x.csv").mkdir(), "a folder with the name of a file"),
])
def test_what_is_no_file_within_raw_is_refused(tmp_path, put: Callable[[Path], object], told: str):
    """A pipe, a device, a folder called like a file, links in a circle and out of raw/, signs that move the cursor: told, and never opened."""
    project = _project(tmp_path, "shop.csv", CSV, PROFILE.format(kind="csv", more=""))
    put(project.raw)
    with pytest.raises(InputRefused, match=told):
        read_sources(project)


def test_a_file_larger_than_can_be_held_is_refused_unread(tmp_path):
    """A file of 10 GB without content takes neither time nor memory."""
    project = _project(tmp_path, "shop.csv", CSV, PROFILE.format(kind="csv", more=""))
    with (project.raw / "shop.csv").open("r+b") as file:
        file.truncate(10 * GIBIBYTE)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with pytest.raises(InputRefused, match="the file has 10,737,418,240 bytes"):
        read_sources(project)
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 100_000


def test_a_key_that_is_named_like_a_place_changes_nothing(tmp_path):
    """Headings such as '__proto__', '../x' or ten thousand of them are headings."""
    record = {"__proto__": 1, "../x": 2, "van": "V1", "day": "2021-03-01", "ok": "yes", **{f"field {number}": 1 for number in range(2000)}}
    project = _project(tmp_path, "shop.json", json.dumps([record]).encode(), PROFILE.format(kind="json", more=""))
    assert read_sources(project)[0].rows["vehicle_id"].tolist() == ["V1"]


def test_every_stream_of_an_xz_file_is_held_to_the_limit():
    """Two streams are read as one text; a second stream that asks for a dictionary of 1 GiB is refused though the first asks for little."""
    first, second = lzma.compress(b"a;b\n"), lzma.compress(b"1;2\n")
    assert unpacked(first + b"\0" * 8 + second, "a.csv.xz") == b"a;b\n1;2\n"
    length = (second[12] + 1) * 4  # of the block's header, which ends in a checksum; its fifth byte is the size of the dictionary
    header = second[12:16] + bytes([36]) + second[17:12 + length - 4]
    large = second[:12] + header + struct.pack("<I", zlib.crc32(header)) + second[12 + length:]
    with pytest.raises(InputRefused, match="not a whole compressed file"):
        unpacked(first + large, "a.csv.xz")
    with pytest.raises(InputRefused, match="not a whole compressed file"):
        unpacked(first + second[:-5], "a.csv.xz")
