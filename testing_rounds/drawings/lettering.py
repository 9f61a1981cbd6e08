"""How wide words will be, near enough to lay a drawing out before any browser has seen it."""

from __future__ import annotations

# Advance widths of Archivo (weight 500, width 96), in em, rounded to 0.05.
_WIDTHS = {
    0.2: " ", 0.25: "ijlI", 0.3: "ft.,-/", 0.35: "r()'", 0.5: "cksvxyz–", 0.6: "FTZ+", 0.65: "AEKPSVXY",
    0.7: "wBCDHNRU", 0.75: "GOQ", 0.8: "M", 0.85: "m", 0.9: "W",
}  # fmt: skip
_ADVANCE = {letter: width for width, letters in _WIDTHS.items() for letter in letters}


def text_width(text: str, size: float) -> float:
    """Estimated width of a text at a font size, in the size's unit."""
    return sum(_ADVANCE.get(letter, 0.55) for letter in text) * size


def wrapped(text: str, size: float, width: float) -> tuple[str, ...]:
    """The text in lines no wider than `width`; a single long word keeps its line."""
    lines: list[str] = []
    for word in text.split():
        if lines and text_width(f"{lines[-1]} {word}", size) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return tuple(lines)
