"""Zone keys in addresses: a studio or a round file may name a zone with any letters, a slash and a space included."""

from __future__ import annotations

import re


class ZoneKeyConverter:
    """A key as it is where it has only letters, digits, "_" and "-"; each other byte as "~" and two hex digits."""

    regex = r"(?:[A-Za-z0-9_-]|~[0-9a-f]{2})+"

    def to_url(self, value: str) -> str:
        plain = re.compile(rb"[A-Za-z0-9_-]")
        return "".join(
            chr(byte) if plain.match(bytes([byte])) else f"~{byte:02x}" for byte in str(value).encode("utf-8")
        )

    def to_python(self, value: str) -> str:
        """Raises ValueError (no such address) for bytes that are no text."""
        parts = re.findall(r"~[0-9a-f]{2}|.", value)
        return b"".join(bytes([int(p[1:], 16)]) if len(p) == 3 else p.encode() for p in parts).decode("utf-8")
