"""Workbooks made for the tests: an ODS from its XML, an XLSX and an XLS by other programs' writers."""

import io
import re
import zipfile
from collections.abc import Callable

import xlsxwriter
import xlwt

SPACES = ('xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
          'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0"')
ODS = "application/vnd.oasis.opendocument.spreadsheet"
MANIFEST = ('<?xml version="1.0"?><manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
            f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{ODS}"/></manifest:manifest>')


def xlsx(fill: Callable[[xlsxwriter.Workbook], None]) -> bytes:
    memory = io.BytesIO()
    with xlsxwriter.Workbook(memory) as book:
        fill(book)
    return memory.getvalue()


def xls(fill: Callable[[xlwt.Workbook], None]) -> bytes:
    memory, book = io.BytesIO(), xlwt.Workbook()
    fill(book)
    book.save(memory)
    return memory.getvalue()


def ods(rows: str, sheet: str = "2019") -> bytes:
    """An ODS of one sheet from the XML of its rows."""
    content = (f'<?xml version="1.0" encoding="UTF-8"?><office:document-content {SPACES}><office:body><office:spreadsheet>'
               f'<table:table table:name="{sheet}">{rows}</table:table></office:spreadsheet></office:body></office:document-content>')
    memory = io.BytesIO()
    with zipfile.ZipFile(memory, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("mimetype", ODS)
        archive.writestr("META-INF/manifest.xml", MANIFEST)
        archive.writestr("content.xml", content)
    return memory.getvalue()


def ods_row(*cells: str, **row: str) -> str:
    """A row of texts; a cell that begins with '<' is taken as it is."""
    texts = (f'<table:table-cell office:value-type="string"><text:p>{cell}</text:p></table:table-cell>' for cell in cells)
    made = "".join(cell if cell.startswith("<") else text for cell, text in zip(cells, texts, strict=True))
    attributes = "".join(f' table:{name.replace("_", "-")}="{value}"' for name, value in row.items())
    return f"<table:table-row{attributes}>{made}</table:table-row>"


def repacked(data: bytes, change: Callable[[str, bytes], bytes]) -> bytes:
    """An archive with the content of its members changed."""
    memory = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(memory, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, change(name, old.read(name)))
    return memory.getvalue()


def without_extent(name: str, content: bytes) -> bytes:
    return re.sub(rb"<dimension[^>]*/>", b"", content)
