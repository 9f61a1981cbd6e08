"""What the bytes of a shown string are: characters, and how far each moves on.

Characters come from the font's ToUnicode map, else from its encoding. Widths are in thousandths of the size.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from releases.pdf.kinds import has_keys, is_array, is_stream, kind

# The widths of Helvetica from space to tilde, for files that leave them out (Adobe's metrics of the standard fonts).
_HELVETICA = (
    "278 278 355 556 556 889 667 191 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556 556 556 556 278 278 "
    "584 584 584 556 1015 667 667 722 722 667 611 778 722 278 500 667 556 833 722 778 667 778 722 667 611 722 667 944 "
    "667 667 611 278 278 278 469 556 333 556 556 500 556 556 278 556 556 222 222 500 222 833 556 556 556 556 333 500 "
    "278 556 500 722 500 500 500 334 260 334 584"
)
HELVETICA = {32 + i: float(width) for i, width in enumerate(_HELVETICA.split())}
_SUBSET = re.compile(r"^[A-Z]{6}\+")
_BLOCK = re.compile(rb"begin(bfchar|bfrange)(.*?)end(?:bfchar|bfrange)", re.DOTALL)
_CODE = re.compile(rb"<([0-9A-Fa-f\s]*)>|(\[)|(\])")
# A map longer than this is a trap: the largest fonts have 65,536 glyphs.
_MOST_MAP_BYTES = 4_000_000
_MOST_CODES = 70_000

Shown = tuple[str, float, bool]


class Font:
    """One font of a page: `shown(raw)` gives for each code its character, its width and whether it is a space."""

    def __init__(self, raw: Any) -> None:
        self.name = plain_name(raw)
        self._wide = str(raw.get("/Subtype", "")) == "/Type0"
        self._unit = 1.0
        self._default = 500.0
        self._widths: dict[int, float] = {}
        self._letters: dict[int, str] = {}
        _quietly(self._read_widths, raw)
        _quietly(self._read_encoding, raw)
        _quietly(self._read_map, raw)

    def shown(self, raw: bytes) -> Iterator[Shown]:
        step = 2 if self._wide else 1
        for i in range(0, len(raw) - step + 1, step):
            code = int.from_bytes(raw[i : i + step], "big")
            letter = self._letters.get(code)
            if letter is None:
                letter = chr(0xE000 + code % 6000) if self._wide else raw[i : i + 1].decode("cp1252", "replace")
            yield letter, self._widths.get(code, self._default) * self._unit, step == 1 and code == 32

    def _read_widths(self, raw: Any) -> None:
        if self._wide:
            inner = raw["/DescendantFonts"][0]
            self._default = float(inner.get("/DW", 1000))
            self._widths = _cid_widths(list(inner.get("/W", [])))
            return
        if str(raw.get("/Subtype", "")) == "/Type3":
            self._unit = 1000 * abs(float(raw["/FontMatrix"][0]))
        if "/Widths" in raw:
            first = int(raw.get("/FirstChar", 0))
            self._widths = {first + i: float(width) for i, width in enumerate(raw["/Widths"])}
            self._default = float(raw.get("/FontDescriptor", {}).get("/MissingWidth", 0))
        elif "Courier" in self.name:
            self._default = 600.0
        else:
            self._widths = HELVETICA

    def _read_encoding(self, raw: Any) -> None:
        encoding = raw.get("/Encoding")
        if self._wide or not has_keys(encoding):
            return
        code = 0
        for one in encoding.get("/Differences", []):
            if kind(one) == "name":
                self._letters[code] = _letter(str(one).lstrip("/"))
                code += 1
            else:
                code = int(one)

    def _read_map(self, raw: Any) -> None:
        stream = raw.get("/ToUnicode")
        if is_stream(stream):
            self._letters.update(_to_unicode(stream.read_bytes()[:_MOST_MAP_BYTES]))


def plain_name(raw: Any) -> str:
    """The font's name without the six letters of a subset."""
    return _SUBSET.sub("", str(raw.get("/BaseFont", raw.get("/Name", "/unnamed"))).lstrip("/"))


def is_embedded(raw: Any) -> bool:
    """Whether the file brings the font along; one that is drawn by the file itself (Type 3) is."""
    if str(raw.get("/Subtype", "")) == "/Type3":
        return True
    inner = raw["/DescendantFonts"][0] if "/DescendantFonts" in raw else raw
    descriptor = inner.get("/FontDescriptor")
    return descriptor is not None and any(key in descriptor for key in ("/FontFile", "/FontFile2", "/FontFile3"))


def _quietly(read: Any, raw: Any) -> None:
    """A font with a part that cannot be read is used as far as it goes."""
    try:
        read(raw)
    except Exception:
        return


def _letter(name: str) -> str:
    if len(name) == 1:
        return name
    from fontTools.agl import toUnicode

    return toUnicode(name) or "\ufffd"


def _cid_widths(entries: list[Any]) -> dict[int, float]:
    """The W array: `c [w1 w2 ...]` or `first last w`."""
    found: dict[int, float] = {}
    at = 0
    while at + 1 < len(entries) and len(found) < _MOST_CODES:
        first, second = int(entries[at]), entries[at + 1]
        if is_array(second):
            found.update({first + i: float(width) for i, width in enumerate(second)})
            at += 2
        else:
            width = float(entries[at + 2])
            found.update(dict.fromkeys(range(first, min(int(second), first + _MOST_CODES) + 1), width))
            at += 3
    return found


def _to_unicode(data: bytes) -> dict[int, str]:
    found: dict[int, str] = {}
    for block in _BLOCK.finditer(data):
        codes = list(_CODE.finditer(block[2]))
        if block[1] == b"bfchar":
            for code, text in zip(codes[::2], codes[1::2], strict=False):
                found[_int(code[1])] = _text(text[1])
        else:
            _ranges(codes, found)
        if len(found) > _MOST_CODES:
            break
    return found


def _ranges(codes: list[re.Match[bytes]], found: dict[int, str]) -> None:
    at = 0
    while at + 2 < len(codes):
        low, high = _int(codes[at][1]), _int(codes[at + 1][1])
        at += 2
        if codes[at][2]:
            at += 1
            while at < len(codes) and not codes[at][3]:
                found[low] = _text(codes[at][1])
                low, at = low + 1, at + 1
        else:
            text = _text(codes[at][1])
            for i in range(min(high - low + 1, _MOST_CODES)):
                found[low + i] = text[:-1] + chr((ord(text[-1]) + i) % 0x110000) if text else ""
        at += 1


def _int(digits: bytes | None) -> int:
    plain = re.sub(rb"\s", b"", digits or b"")
    return int(plain, 16) if plain else 0


def _text(digits: bytes | None) -> str:
    plain = re.sub(rb"\s", b"", digits or b"").decode()
    return bytes.fromhex(plain[: len(plain) // 2 * 2]).decode("utf-16-be", "replace")
