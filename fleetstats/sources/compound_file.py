"""XLS: the records of the old binary workbook, as far as they tell how far its sheets reach and which cells hold an error.

The container and the records are described in Microsoft's open specifications [MS-CFB] and [MS-XLS]; the layout of fields here is written from memory
and held by tests on files of another program.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import replace

from fleetstats.sources.workbook_facts import SheetFacts

FREE = 0xFFFFFFFA
"""Numbers of sectors from here on mark the end of a chain, or none."""

ERRORS = {0: "#NULL!", 7: "#DIV/0!", 15: "#VALUE!", 23: "#REF!", 29: "#NAME?", 36: "#NUM!", 42: "#N/A"}
BOUNDSHEET, FORMULA, BOOLERR, EOF, BOF, DATES_FROM_1904 = 0x85, 0x06, 0x205, 0x0A, 0x809, 0x22
CELLS = frozenset({FORMULA, BOOLERR, 0x203, 0x204, 0x27E, 0xFD, 0xD6, 0x201, 0xBD, 0xBE})
SEVERAL = frozenset({0xBD, 0xBE})
"""Records that hold a run of cells; the last two bytes say the last column."""


def xls_facts(data: bytes, file: str) -> dict[str, SheetFacts]:
    """Facts of every sheet by name. Raises InputRefused where one reaches too far, ValueError where the file is broken."""
    try:
        stream = _workbook_stream(data)
        sheets = dict(_sheets(stream))
        system = _date_system(stream)
        return {name: replace(_facts(stream, begins, file), date_system=system) for name, begins in sheets.items()}
    except (struct.error, IndexError) as error:
        raise ValueError(f"cut off or broken: {error}") from None


def _workbook_stream(data: bytes) -> bytes:
    size, small = 1 << min(struct.unpack_from("<H", data, 30)[0], 16), 1 << min(struct.unpack_from("<H", data, 32)[0], 16)
    fat = _fat(data, size)
    folder = _chain(data, struct.unpack_from("<I", data, 48)[0], fat, size)
    root = _entry(folder, ("Root Entry",))
    start, length = _entry(folder, ("Workbook", "Book"))
    if length >= struct.unpack_from("<I", data, 56)[0]:
        return _chain(data, start, fat, size)[:length]
    mini_fat = list(struct.iter_unpack("<I", _chain(data, struct.unpack_from("<I", data, 60)[0], fat, size)))
    return _chain(b"\0" * small + _chain(data, root[0], fat, size), start, [number for number, in mini_fat], small)[:length]


def _fat(data: bytes, size: int) -> list[int]:
    """Which sector follows each sector."""
    sectors = list(struct.unpack_from("<109I", data, 76))
    further, left = struct.unpack_from("<II", data, 68)
    while further < FREE and left > 0:
        numbers = struct.unpack_from(f"<{size // 4}I", data, (further + 1) * size)
        sectors += numbers[:-1]
        further, left = numbers[-1], left - 1
    wanted = [sector for sector in sectors if sector < FREE][:len(data) // size + 1]
    return [number for sector in wanted for number in struct.unpack_from(f"<{size // 4}I", data, (sector + 1) * size)]


def _chain(data: bytes, start: int, fat: list[int], size: int) -> bytes:
    pieces: list[bytes] = []
    while start < FREE:
        if len(pieces) > len(data) // size:
            raise ValueError("its sectors lead in a circle")
        pieces.append(data[(start + 1) * size:(start + 2) * size])
        start = fat[start]
    return b"".join(pieces)


def _entry(folder: bytes, names: tuple[str, ...]) -> tuple[int, int]:
    """First sector and length of the stream with one of the names."""
    for place in range(0, len(folder) - 127, 128):
        name = folder[place:place + max(struct.unpack_from("<H", folder, place + 64)[0] - 2, 0)].decode("utf-16-le", "replace")
        if name in names:
            start, length = struct.unpack_from("<II", folder, place + 116)
            return start, length
    raise ValueError(f"it holds no {names[0]}")


def _records(stream: bytes, place: int) -> Iterator[tuple[int, int, int]]:
    """Kind, place and length of every record of a sheet, charts within it included."""
    depth = 0
    while place + 4 <= len(stream):
        kind, length = struct.unpack_from("<HH", stream, place)
        yield kind, place + 4, length
        depth += (kind == BOF) - (kind == EOF)
        if depth == 0:
            return
        place += 4 + length


def _sheets(stream: bytes) -> Iterator[tuple[str, int]]:
    for kind, place, length in _records(stream, 0):
        if kind == BOUNDSHEET:
            begins, _, count, wide = struct.unpack_from("<IHBB", stream, place)
            text = stream[place + 8:place + length]
            yield text[:2 * count].decode("utf-16-le", "replace") if wide & 1 else text[:count].decode("latin-1"), begins


def _date_system(stream: bytes) -> str:
    said = (struct.unpack_from("<H", stream, place)[0] for kind, place, length in _records(stream, 0) if kind == DATES_FROM_1904 and length >= 2)
    return "1904" if next(said, 0) else "1900"


def _facts(stream: bytes, begins: int, file: str) -> SheetFacts:
    facts = SheetFacts()
    for kind, place, length in _records(stream, begins):
        if kind not in CELLS or length < 6:
            continue
        row, column = struct.unpack_from("<HH", stream, place)
        last = struct.unpack_from("<H", stream, place + length - 2)[0] if kind in SEVERAL else column
        facts.reach(row + 1, last + 1, file)
        if kind == BOOLERR and stream[place + 7]:
            facts.errors[row, column] = ERRORS.get(stream[place + 6], "an error")
        if kind == FORMULA and stream[place + 6] == 2 and stream[place + 12:place + 14] == b"\xff\xff":
            facts.errors[row, column] = ERRORS.get(stream[place + 8], "an error")
    return facts
