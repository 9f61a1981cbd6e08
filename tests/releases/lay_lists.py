"""Cutting lists of the tests, in whole centimetres or halves."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from releases.lay_types import Cloth, Cut, CutPiece, Grain

HALVES = Fraction(2)


def piece(name: str, length: float, width: float, cut: str, count: int = 1, grain: str = "length") -> CutPiece:
    return CutPiece(name, "shell", count, Cut(cut), Grain(grain), round(length), round(width))


def cloth_of(width: int, **more: Any) -> Cloth:
    return Cloth(width, 3, Fraction(1), **more)


# Size 12 of the shirt of docs/algorithms/fabric.md.
SHIRT = [
    piece("lower front", 66, 40, "fold"),
    piece("lower back", 66, 41, "pair", 2),
    piece("upper front", 48, 27, "fold"),
    piece("upper back", 46, 28, "pair", 2),
    piece("sleeve", 30, 38, "pair", 2),
    piece("front facing", 9, 20, "fold"),
    piece("back facing", 9, 14, "pair", 2),
]
