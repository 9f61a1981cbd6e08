"""Reading a PDF back as a reader's software does: text by the fonts' own tables, rows by the tags."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pikepdf

Marks = dict[tuple[Any, int], str]
_CHARS = re.compile(rb"<([0-9a-fA-F]+)>\s*<([0-9a-fA-F]+)>")


@dataclass(frozen=True)
class ReadPdf:
    """A PDF's page sizes in points, its text by page, its tables as rows of cells, its bookmarks by level and title."""

    title: str
    language: str
    marked: bool
    pages: tuple[tuple[float, float], ...]
    texts: tuple[str, ...]
    tables: tuple[tuple[tuple[str, ...], ...], ...]
    header_cells: int
    bookmarks: tuple[tuple[int, str], ...]
    fonts: frozenset[str]
    fonts_not_embedded: frozenset[str]
    conformance: str

    @property
    def text(self) -> str:
        return "\n".join(self.texts)


def read_pdf(content: bytes) -> ReadPdf:
    with pikepdf.open(io.BytesIO(content)) as pdf:
        marks: Marks = {}
        texts = tuple(_page_text(page, marks) for page in pdf.pages)
        root = pdf.Root.get("/StructTreeRoot")
        fonts = [font for page in pdf.pages for font in page.resources.get("/Font", {}).values()]
        return ReadPdf(
            title=str(pdf.docinfo.get("/Title", "")),
            language=str(pdf.Root.get("/Lang", "")),
            marked=bool(pdf.Root.get("/MarkInfo", {}).get("/Marked", False)),
            pages=tuple(
                (float(p.mediabox[2]) - float(p.mediabox[0]), float(p.mediabox[3]) - float(p.mediabox[1]))
                for p in pdf.pages
            ),
            texts=texts,
            tables=tuple(_rows(table, marks) for table in _find(root, "/Table")) if root is not None else (),
            header_cells=len(list(_find(root, "/TH"))) if root is not None else 0,
            bookmarks=tuple(_bookmarks(pdf)),
            fonts=frozenset(str(font.BaseFont).partition("+")[2] for font in fonts),
            fonts_not_embedded=frozenset(str(font.BaseFont) for font in fonts if not _embedded(font)),
            conformance=str(pdf.open_metadata().get("pdfuaid:part", "")),
        )


def _bookmarks(pdf: pikepdf.Pdf) -> Iterator[tuple[int, str]]:
    with pdf.open_outline() as outline:
        yield from _outline(outline.root, 1)


def _outline(items: Any, level: int) -> Iterator[tuple[int, str]]:
    for item in items:
        yield level, item.title
        yield from _outline(item.children, level + 1)


def _embedded(font: Any) -> bool:
    descriptor = font.DescendantFonts[0].FontDescriptor
    return any(key in descriptor for key in ("/FontFile", "/FontFile2", "/FontFile3"))


def _page_text(page: Any, marks: Marks) -> str:
    """The page's text; what each marked piece holds goes into `marks` under (page, number)."""
    tables = {name: _unicode(font) for name, font in page.resources.get("/Font", {}).items()}
    table: dict[int, str] = {}
    mark, parts = -1, []
    for operands, operator in pikepdf.parse_content_stream(page):
        name = str(operator)
        if name == "Tf":
            table = tables[str(operands[0])]
        elif name == "BDC":
            parts.append(" ")
            mark = int(operands[1].get("/MCID", -1)) if hasattr(operands[1], "get") else -1
        elif name == "EMC":
            mark = -1
        elif name in {"Tj", "TJ"}:
            said = "".join(_decoded(operand, table) for operand in operands)
            parts.append(said)
            if mark >= 0:
                key = (page.obj.objgen, mark)
                marks[key] = marks.get(key, "") + said
    return "".join(parts)


def _decoded(operand: Any, table: dict[int, str]) -> str:
    if isinstance(operand, pikepdf.String):
        raw = bytes(operand)
        return "".join(table.get(int.from_bytes(raw[i : i + 2], "big"), "") for i in range(0, len(raw), 2))
    return "".join(_decoded(part, table) for part in operand) if isinstance(operand, pikepdf.Array | list) else ""


def _unicode(font: Any) -> dict[int, str]:
    """Glyph number to text, as the font's ToUnicode table says."""
    return {
        int(glyph, 16): bytes.fromhex(text.decode()).decode("utf-16-be")
        for glyph, text in _CHARS.findall(font.ToUnicode.read_bytes())
    }


def _children(node: Any) -> list[Any]:
    kids = node.get("/K", [])
    return list(kids) if isinstance(kids, pikepdf.Array) else [kids]


def _find(node: Any, tag: str) -> Iterator[Any]:
    for kid in _children(node):
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            if str(kid.S) == tag:
                yield kid
            yield from _find(kid, tag)


def _rows(table: Any, marks: Marks) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(" ".join(_said(cell, marks).split()) for cell in _children(row)) for row in _find(table, "/TR"))


def _said(node: Any, marks: Marks, page: Any = None) -> str:
    """What a tagged element says, its pieces parted by a space."""
    page = node.get("/Pg", page)
    parts = []
    for kid in _children(node):
        if isinstance(kid, int):
            parts.append(marks.get((page.objgen, kid), ""))
        elif isinstance(kid, pikepdf.Dictionary) and "/MCID" in kid:
            parts.append(marks.get((kid.get("/Pg", page).objgen, int(kid.MCID)), ""))
        elif isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            parts.append(_said(kid, marks, page))
    return " ".join(part for part in parts if part)
