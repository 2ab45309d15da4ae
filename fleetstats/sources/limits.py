"""How much a file may hold, and packed members opened within that: what is packed small may be endless when unpacked."""

from __future__ import annotations

import struct
import zipfile
import zlib
from collections.abc import Iterator

from fleetstats.errors import InputRefused, Problem

MOST_BYTES = 400_000_000
"""Bytes of a file, or of what is packed in it. With what is made of them they stay within the memory of a small office computer."""

MOST_CELLS = 12_000_000
"""Cells of a sheet from its first to its last filled one, and of the rows of a query: the reader holds all of them at once."""

MOST_SWELLING, SWOLLEN = 250, 16_000_000
"""Times that a packed file of records may grow when unpacked, once it is larger than so many bytes: rows of service records grow 5 to 18 times
(drawn ones, by .gz, .xz and .bz2), one sign repeated without end about 1,000 times."""

LONGEST_TEXT = 4_000_000
"""Bytes of one cell; spreadsheet programs end at 32,767 signs."""

CHUNK = 1 << 20
LOCAL_HEADER = struct.Struct("<4s22xHH")


def refuse_too_large(size: int, file: str) -> None:
    """Raises InputRefused where a file has more bytes than can be held."""
    if size > MOST_BYTES:
        raise InputRefused(Problem(what=f"the file has {size:,} bytes", file=file, wanted=f"at most {MOST_BYTES:,}",
                                   remedy="Split it, for instance by year; every part is read by the same profile."))


class Swelling:
    """Counts what comes out of a packed file and raises InputRefused when it is too much for what went in."""

    def __init__(self, packed: int, file: str) -> None:
        self.packed, self.file, self.total = max(packed, 1), file, 0

    def add(self, chunk: bytes) -> bytes:
        """The chunk, counted."""
        self.total += len(chunk)
        swollen = self.total > SWOLLEN and self.total > MOST_SWELLING * self.packed
        if swollen or self.total > MOST_BYTES:
            what = f"its {self.packed:,} packed bytes grow to more than {self.total - 1:,}"
            raise InputRefused(Problem(what=what, file=self.file, wanted=f"at most {MOST_BYTES:,}, and {MOST_SWELLING} for each packed one",
                                       remedy="Look at where it comes from; if it is what it should be, send it in parts, as plain CSV."))
        return chunk


def member_chunks(data: bytes, member: zipfile.ZipInfo, swelling: Swelling) -> Iterator[bytes]:
    """What a member of a ZIP archive holds, piece by piece, as far as it goes and not as far as its header says.

    Raises InputRefused where it grows too much, is encrypted or packed in an unusual way; zipfile.BadZipFile where it is broken.
    """
    if member.flag_bits & 1 or member.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise InputRefused(Problem(what="it is encrypted, or packed in an unusual way", file=swelling.file, remedy="Save it again without a password."))
    head = data[member.header_offset:member.header_offset + LOCAL_HEADER.size]
    if len(head) < LOCAL_HEADER.size:
        raise zipfile.BadZipFile("a member lies behind the end")
    mark, name, extra = LOCAL_HEADER.unpack(head)
    begins = member.header_offset + LOCAL_HEADER.size + name + extra
    packed = memoryview(data)[begins:begins + member.compress_size]
    if mark != b"PK\x03\x04" or len(packed) < member.compress_size:
        raise zipfile.BadZipFile("a member is cut off")
    if member.compress_type == zipfile.ZIP_STORED:
        yield from (swelling.add(bytes(packed[start:start + CHUNK])) for start in range(0, len(packed), CHUNK))
        return
    yield from _inflated(packed, swelling)


def _inflated(packed: memoryview, swelling: Swelling) -> Iterator[bytes]:
    unpacker = zlib.decompressobj(-zlib.MAX_WBITS)
    left: bytes | memoryview = packed
    try:
        while not unpacker.eof:
            chunk = unpacker.decompress(left, CHUNK)
            if not chunk and not unpacker.eof:
                raise zipfile.BadZipFile("a member is cut off")
            left = unpacker.unconsumed_tail
            yield swelling.add(chunk)
    except zlib.error as error:
        raise zipfile.BadZipFile(f"a member is broken: {error}") from None
