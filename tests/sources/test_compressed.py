import bz2
import gzip
import io
import lzma
import zipfile

import pytest

from fleetstats.errors import InputRefused
from fleetstats.sources import draft_profile, read_sources
from fleetstats.sources.compressed import unpacked

ROWS = b"vehicle_id,date,working\n" + b"".join(b"V%d,2021-03-%02d,yes\n" % (n, n % 28 + 1) for n in range(500))


def _zip(*contents: bytes) -> bytes:
    memory = io.BytesIO()
    with zipfile.ZipFile(memory, "w", zipfile.ZIP_DEFLATED) as archive:
        for number, content in enumerate(contents):
            archive.writestr(f"{number}.csv", content)
    return memory.getvalue()


PACKED = {"gz": gzip.compress(ROWS), "bz2": bz2.compress(ROWS), "xz": lzma.compress(ROWS), "zip": _zip(ROWS)}


@pytest.mark.parametrize("ending", PACKED)
def test_a_packed_file_is_read_as_what_is_in_it(write_project, ending: str):
    """The same rows as from the plain file, each with its line; the fingerprint is that of the packed bytes."""
    plain, packed = read_sources(write_project({"s.csv": ROWS, f"s.csv.{ending}": PACKED[ending]}))
    assert packed.rows.drop(columns="file").equals(plain.rows.drop(columns="file"))
    assert (packed.file, packed.rows_read) == (f"s.csv.{ending}", 500)


@pytest.mark.parametrize("ending", PACKED)
@pytest.mark.parametrize("damage", [lambda data: data[:len(data) // 2], lambda data: data[:40] + b"\0" * 20 + data[60:], lambda data: b"x" * 99])
def test_a_damaged_packed_file_is_refused(ending: str, damage):
    """Cut off, overwritten in the middle, or no packed file at all."""
    with pytest.raises(InputRefused, match=r"s\.csv"):
        unpacked(damage(PACKED[ending]), f"s.csv.{ending}")


@pytest.mark.parametrize("pack", [gzip.compress, bz2.compress, lzma.compress, _zip])
def test_what_grows_without_end_is_refused_before_it_fills_the_memory(pack):
    """Sixty-four million zeros packed small: refused by how much it grows."""
    ending = {gzip.compress: "gz", bz2.compress: "bz2", lzma.compress: "xz", _zip: "zip"}[pack]
    with pytest.raises(InputRefused, match="packed bytes grow to more than"):
        unpacked(pack(b"0" * 64_000_000), f"s.csv.{ending}")


def _named(*names: str) -> bytes:
    memory = io.BytesIO()
    with zipfile.ZipFile(memory, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in names:
            archive.writestr(name, ROWS)
    return memory.getvalue()


def test_an_archive_whose_name_does_not_say_what_is_in_it_is_looked_into(write_project, tmp_path):
    """harbour.zip with one CSV in it, in a folder and beside a hidden file, is read as that; one with a picture is refused by what is in it."""
    plain, packed = read_sources(write_project({"harbour.csv": ROWS, "harbour.zip": _named("2021/harbour export.csv", "2021/._harbour export.csv")}))
    assert packed.rows.drop(columns="file").equals(plain.rows.drop(columns="file"))
    assert (packed.file, packed.rows_read) == ("harbour.zip", 500)
    assert 'kind = "csv"' in draft_profile(tmp_path / "raw" / "harbour.zip")
    project = write_project({"harbour.zip": _named("plan.png"), "quay.zip": _named("a.csv", "b.csv"), "mill.pdf": b"x"})
    with pytest.raises(InputRefused) as caught:
        read_sources(project)
    assert [problem.file for problem in caught.value.problems] == ["harbour.zip", "mill.pdf"]
    assert "files ending in '.png'" in str(caught.value)
    (project.raw / "harbour.zip").unlink()
    (project.raw / "mill.pdf").unlink()
    with pytest.raises(InputRefused, match=r"quay\.zip: the archive holds 2 files"):
        read_sources(project)


@pytest.mark.parametrize("name", ["harbour.2024.zip", "Q1 v1.2.zip", "orders.of.march.ZIP"])
def test_a_name_with_a_point_in_it_says_no_more_of_what_is_packed(write_project, tmp_path, name: str):
    """What stands behind a point in the name is an ending only where files with that ending are read; what several files are in is told as such."""
    packed, = read_sources(write_project({name: _named("harbour export.csv")}))
    assert (packed.file, packed.rows_read) == (name, 500)
    assert 'kind = "csv"' in draft_profile(tmp_path / "raw" / name)
    with pytest.raises(InputRefused, match="the archive holds 2 files"):
        read_sources(write_project({name: _named("a.csv", "b.csv")}))
    with pytest.raises(InputRefused, match=r"files ending in '\.png'"):
        read_sources(write_project({name: _named("plan.png")}))


def test_an_archive_of_several_files_is_refused():
    """Which one is meant is not guessed."""
    with pytest.raises(InputRefused, match="holds 2 files"):
        unpacked(_zip(ROWS, ROWS), "s.zip")


def test_a_member_that_lies_about_its_size_is_counted_as_it_comes():
    """The size written in the archive's directory is not believed."""
    data = bytearray(_zip(b"0" * 64_000_000))
    place = data.rindex(b"PK\x01\x02")
    data[place + 24:place + 28] = (1000).to_bytes(4, "little")
    with pytest.raises(InputRefused, match="packed bytes grow to more than"):
        unpacked(bytes(data), "s.csv.zip")
