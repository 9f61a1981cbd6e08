"""The letters of the demo's pattern files: the app's own typeface, cut down to plain English and put into the file."""

from __future__ import annotations

from functools import lru_cache
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf

FIRST, LAST = 32, 126


def embedded_font(pdf: pikepdf.Pdf) -> Any:
    """A font of a PDF with its letters embedded, for text from space to tilde."""
    letters, widths, box, ascent, descent = _letters()
    file = pdf.make_stream(letters)
    file.Length1 = len(letters)
    descriptor = pikepdf.Dictionary(
        Type=pikepdf.Name.FontDescriptor,
        FontName=pikepdf.Name("/Archivo"),
        Flags=32,
        FontBBox=list(box),
        ItalicAngle=0,
        Ascent=ascent,
        Descent=descent,
        CapHeight=ascent,
        StemV=80,
        FontFile2=file,
    )
    return pdf.make_indirect(
        pikepdf.Dictionary(
            Type=pikepdf.Name.Font,
            Subtype=pikepdf.Name.TrueType,
            BaseFont=pikepdf.Name("/Archivo"),
            FirstChar=FIRST,
            LastChar=LAST,
            Widths=list(widths),
            Encoding=pikepdf.Name.WinAnsiEncoding,
            FontDescriptor=pdf.make_indirect(descriptor),
        )
    )


@lru_cache(maxsize=1)
def _letters() -> tuple[bytes, tuple[int, ...], tuple[int, ...], int, int]:
    """The font file, its widths, its box, ascent and descent in thousandths of the size."""
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont
    from fontTools.varLib.instancer import instantiateVariableFont

    whole = TTFont(Path(__file__).parents[2] / "static/fonts/archivo-latin.woff2", recalcTimestamp=False)
    font = instantiateVariableFont(whole, {"wght": 400, "wdth": 100})
    options = Options(layout_features=[], drop_tables=["GDEF", "GPOS", "GSUB", "STAT", "gasp"], notdef_outline=True)
    cutter = Subsetter(options)
    cutter.populate(unicodes=range(FIRST, LAST + 1))
    cutter.subset(font)
    font.flavor = None
    out = BytesIO()
    font.save(out, reorderTables=True)
    scale, glyphs, names = 1000 / font["head"].unitsPerEm, font["hmtx"], font.getBestCmap()
    widths = tuple(round(glyphs[names[code]][0] * scale) if code in names else 0 for code in range(FIRST, LAST + 1))
    head = font["head"]
    box = tuple(round(side * scale) for side in (head.xMin, head.yMin, head.xMax, head.yMax))
    return out.getvalue(), widths, box, round(font["hhea"].ascent * scale), round(font["hhea"].descent * scale)
