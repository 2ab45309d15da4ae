"""Compressed files: undone in memory, piece by piece, within a limit; nothing is written to a disk."""

from __future__ import annotations

import bz2
import gzip
import io
import lzma
import zipfile
import zlib
from collections.abc import Callable, Iterator
from pathlib import Path, PurePath

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.limits import CHUNK, Swelling, member_chunks

MOST_UNPACKER_MEMORY = 128 << 20
"""Bytes that an .xz file may ask for its dictionary."""


SUFFIXES = (".csv", ".tsv", ".txt", ".xlsx", ".xls", ".ods", ".json", ".jsonl", ".ndjson", ".parquet", ".db", ".sqlite", ".sqlite3")
"""Endings of files that are read, as they are or packed."""


def is_compressed(file: str) -> bool:
    """Whether the name says that another file is packed in it."""
    return PurePath(file).suffix.lower() in UNPACKERS


def inner_name(file: str, packed: bytes | Path | None = None) -> str:
    """What the file is called when unpacked: the name without the suffix of the packing. packed: the packed bytes, or where they lie; of a .zip whose name
    does not end in what is read ('harbour.zip', 'harbour.2024.zip') the name that its one member has there, '' where it holds none or several."""
    if not is_compressed(file):
        return file
    name, ending = file[:-len(PurePath(file).suffix)], PurePath(file).suffix.lower()
    if packed is None or ending != ".zip" or PurePath(name).suffix.lower() in SUFFIXES:
        return name
    return _member_name(packed)


def _member_name(packed: bytes | Path) -> str:
    """Name, without folders, of the one file in a ZIP archive; '' where it holds none or several, or is broken."""
    try:
        with zipfile.ZipFile(io.BytesIO(packed) if isinstance(packed, bytes) else packed) as archive:
            members = _members(archive)
    except (OSError, zipfile.BadZipFile, ValueError, RuntimeError):
        return ""
    return PurePath(members[0].filename).name if len(members) == 1 else ""


def _members(archive: zipfile.ZipFile) -> list[zipfile.ZipInfo]:
    """The files of an archive, without folders and hidden ones, which some desktops leave beside them."""
    return [member for member in archive.infolist() if not member.is_dir() and not PurePath(member.filename).name.startswith(".")]


def unpacked(data: bytes, file: str) -> bytes:
    """The bytes of a .gz, .bz2, .xz, or of a .zip with one file in it; those of any other file as they are.

    Raises InputRefused where it is broken or cut off, grows too much, or holds several files.
    """
    if not is_compressed(file):
        return data
    swelling = Swelling(len(data), file)
    try:
        whole = b"".join(UNPACKERS[PurePath(file).suffix.lower()](data, swelling))
    except (OSError, EOFError, zlib.error, lzma.LZMAError, zipfile.BadZipFile, ValueError, RuntimeError) as error:
        raise InputRefused(Problem(what=f"not a whole compressed file ({error})", file=file,
                                   remedy="It may have been cut off while it was sent: send it again, or unpacked.")) from None
    if not whole.strip():
        raise InputRefused(Problem(what="what is packed in the file is empty", file=file, remedy="Export it again, or take it out of raw/."))
    return whole


def _gz(data: bytes, swelling: Swelling) -> Iterator[bytes]:
    with gzip.GzipFile(fileobj=io.BytesIO(data)) as stream:
        yield from _read(stream, swelling)


def _bz2(data: bytes, swelling: Swelling) -> Iterator[bytes]:
    with bz2.BZ2File(io.BytesIO(data)) as stream:
        yield from _read(stream, swelling)


def _xz(data: bytes, swelling: Swelling) -> Iterator[bytes]:
    """Stream after stream, each refused where its dictionary is too large."""
    place = 0
    while place < len(data):
        unpacker = lzma.LZMADecompressor(lzma.FORMAT_XZ, memlimit=MOST_UNPACKER_MEMORY)
        while not unpacker.eof:
            piece = data[place:place + CHUNK] if unpacker.needs_input else b""
            if unpacker.needs_input and not piece:
                raise EOFError("the stream ends before its end mark")
            place += len(piece)
            yield swelling.add(unpacker.decompress(piece, CHUNK))
        place -= len(unpacker.unused_data)
        while data[place:place + 4] == b"\0\0\0\0":  # padding between streams
            place += 4


def _read(stream: io.BufferedIOBase, swelling: Swelling) -> Iterator[bytes]:
    while chunk := stream.read(CHUNK):
        yield swelling.add(chunk)


def _zip(data: bytes, swelling: Swelling) -> Iterator[bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        members = _members(archive)
    if len(members) != 1:
        raise InputRefused(Problem(what=f"the archive holds {len(members)} files", file=swelling.file, wanted="one",
                                   remedy="Unpack it and put its files into raw/."))
    return member_chunks(data, members[0], swelling)


UNPACKERS: dict[str, Callable[[bytes, Swelling], Iterator[bytes]]] = {".gz": _gz, ".bz2": _bz2, ".xz": _xz, ".zip": _zip}
"""Suffix -> how its packing is undone."""
