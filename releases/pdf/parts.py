"""What the pages of one file share: its fonts, its unpacked contents, and how much of it may be asked for."""

from __future__ import annotations

import hashlib
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from releases.pdf.fonts import Font
from releases.pdf.kinds import has_keys, is_array, is_stream, is_string

_PLAIN_FILTERS = {"None", "/FlateDecode", "/LZWDecode", "/ASCII85Decode", "/ASCIIHexDecode"}
# What a picture looks like beside its bytes; the mask is a picture of its own, and colours may come from a table.
_LOOKS = ("/Width", "/Height", "/BitsPerComponent", "/ImageMask", "/Decode", "/ColorSpace", "/Mask", "/SMask")
_MOST_NESTED = 8


class TooMuchError(Exception):
    """The page asks for more than the budget gives."""


@dataclass
class Budget:
    """What all pages of a file may ask for together."""

    operators: int = 3_000_000
    points: int = 6_000_000
    content_bytes: int = 300_000_000

    def take(self, **asked: int) -> None:
        for name, count in asked.items():
            left = getattr(self, name) - count
            setattr(self, name, left)
            if left < 0:
                raise TooMuchError


class Parts:
    """Fonts and contents of one file; each is read once."""

    def __init__(self, budget: Budget) -> None:
        self.budget = budget
        self._fonts: dict[Any, Font] = {}
        self._digests: dict[Any, str] = {}

    def font(self, raw: Any) -> Font:
        key = key_of(raw)
        if key not in self._fonts:
            self._fonts[key] = Font(raw)
        return self._fonts[key]

    def digest(self, stream: Any) -> str:
        """What a picture holds, in one word."""
        key = key_of(stream)
        if key not in self._digests:
            raw = self._picture_bytes(stream)
            self.budget.take(content_bytes=len(raw))
            looks = [self._said(stream.get(name), 0) for name in _LOOKS]
            self._digests[key] = hashlib.sha256(raw + repr(looks).encode()).hexdigest()[:32]
        return self._digests[key]

    def _said(self, value: Any, deep: int) -> Any:
        """A value however it is kept in the file."""
        self.budget.take(operators=1)
        if deep > _MOST_NESTED:
            return None
        if is_array(value):
            return [self._said(one, deep + 1) for one in value]
        if is_stream(value):
            raw = self._picture_bytes(value)
            self.budget.take(content_bytes=len(raw))
            return hashlib.sha256(raw).hexdigest()
        return bytes(value).hex() if is_string(value) else "" if has_keys(value) else _number_or_name(value)

    def _picture_bytes(self, stream: Any) -> bytes:
        """Packed anew it is the same picture, so that it is unpacked; what a camera packed is left as it is."""
        raw: bytes = stream.read_raw_bytes()
        filters = _filters(stream)
        if not set(filters) <= _PLAIN_FILTERS:
            return raw
        if (
            filters[:1] == ["/FlateDecode"]
            and len(_inflated(raw, self.budget.content_bytes)) >= self.budget.content_bytes
        ):
            return raw
        unpacked: bytes = stream.read_bytes()
        return unpacked

    def unpacked(self, stream: Any) -> bytes:
        """A content stream's bytes, no more than the budget has left."""
        most = self.budget.content_bytes
        if _filters(stream) == ["/FlateDecode"] and "/DecodeParms" not in stream:
            data = _inflated(stream.read_raw_bytes(), most + 1)
        else:
            data = stream.read_bytes()
        self.budget.take(content_bytes=len(data))
        return data


def key_of(raw: Any) -> Any:
    """What tells one object of a file from another; one that is written in place, by what it says."""
    return raw.objgen if raw.is_indirect else raw.unparse()


def _number_or_name(value: Any) -> Any:
    try:
        return round(float(value), 4)
    except (TypeError, ValueError):
        return str(value)


def _filters(stream: Any) -> list[str]:
    filters = stream.get("/Filter")
    return [str(one) for one in filters] if is_array(filters) else [str(filters)]


def _inflated(raw: bytes, most: int) -> bytes:
    engine = zlib.decompressobj()
    try:
        return engine.decompress(raw, most)
    except zlib.error:
        # Cut or damaged: readers show what comes before the damage.
        return b"".join(_until_damage(raw, most))


def _until_damage(raw: bytes, most: int) -> Iterator[bytes]:
    engine = zlib.decompressobj()
    for i in range(0, len(raw), 512):
        try:
            yield engine.decompress(raw[i : i + 512], most)
        except zlib.error:
            return
