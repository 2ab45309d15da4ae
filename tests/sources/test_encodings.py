import pytest

from fleetstats.errors import InputRefused
from fleetstats.sources.delimited import read_delimited
from fleetstats.sources.encodings import decode, find_encoding
from fleetstats.sources.profile import Format

NOTE = "Véhicule,Plainte\nC-118,réfrigérateur tiède à l'arrière\n"


@pytest.mark.parametrize("codec", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
@pytest.mark.parametrize("stated", [True, False])
def test_a_mark_or_the_bytes_themselves_tell_the_encoding(codec, stated):
    """UTF-8 and UTF-16, with a mark and without, give the same text, whether the profile states the encoding or not."""
    data = NOTE.encode(codec)
    encoding = ("utf-16" if codec.startswith("utf-16") else "utf-8") if stated else None
    assert decode(data, "shop.csv", encoding) == NOTE
    (sheet,) = read_delimited(data, "shop.csv", Format(encoding=encoding))
    assert sheet.cells["Véhicule"].tolist() == ["C-118"]


@pytest.mark.parametrize("codec", ["cp1252", "cp850"])
def test_an_encoding_that_alone_gives_words_is_taken_and_told(codec):
    """Accents of everyday words under one candidate only: the file is read, and the account says how."""
    (sheet,) = read_delimited(NOTE.encode(codec), "shop.csv", Format())
    assert sheet.headings[0] == "Véhicule"
    assert [codec in problem.what for problem in sheet.notes] == [True]


@pytest.mark.parametrize("data", ["A,B\né,1\n".encode("cp1252"), b"A,B\n\x85\x93\x96\x97,1\n", b"A,B\n\x81\xff\xfe\x90,1\n"])
def test_an_encoding_that_cannot_be_told_is_refused(data):
    """One accent alone proves nothing, nor do signs that are usual in both candidates or in none; the profile must state the encoding."""
    with pytest.raises(InputRefused, match=r"shop\.csv, row 2: not utf-8 text at byte 5"):
        find_encoding(data, "shop.csv", None)


def test_the_profile_decides_where_it_states_one():
    """The bytes of 'é' in one encoding are another sign in the other: the stated one is read, nothing is told."""
    data = "A,B\né,1\n".encode("cp1252")
    assert decode(data, "shop.csv", "cp850") == "A,B\nÚ,1\n"
    assert find_encoding(data, "shop.csv", "cp850").told is None


def test_utf_8_read_as_something_else_is_refused():
    """Accents that form UTF-8 are never garbled, whatever the profile says."""
    with pytest.raises(InputRefused, match="the file is UTF-8, not cp1252"):
        decode(NOTE.encode(), "shop.csv", "cp1252")
