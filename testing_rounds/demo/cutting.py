"""What the demo's shirt is cut from. Boxes in centimetres with 1 cm of seam allowance; plain facts."""

from __future__ import annotations

from math import ceil
from typing import Any

from testing_rounds.demo.scenario import BASE, BODY, SIZES

SHELL, INTERFACING = "Shell", "Interfacing"
# Name, kind, widths offered, both selvedges, shrinkage in per cent.
MATERIALS: tuple[dict[str, Any], ...] = (
    {"name": SHELL, "kind": "shell", "widths": ("115", "140"), "selvedge": "3", "shrinkage": 3},
    {"name": INTERFACING, "kind": "interfacing", "widths": ("90",), "selvedge": "0", "shrinkage": 0},
)
# Piece, material, count, cut; length and width of size 12; what each size adds to the length, and by which body
# measurement, and how much of it, the width grows.
PIECES: tuple[tuple[str, str, int, str, float, float, float, str, float], ...] = (
    ("back", SHELL, 1, "fold", 66, 40, 0.5, "waist", 0.5),
    ("front", SHELL, 2, "pair", 66, 41, 0.5, "waist", 0.5),
    ("back yoke", SHELL, 1, "fold", 48, 27, 0.5, "bust", 0.25),
    ("front yoke", SHELL, 2, "pair", 46, 28, 0.5, "bust", 0.25),
    ("sleeve", SHELL, 2, "pair", 30, 38, 0.2, "upper_arm", 1.0),
    ("back facing", SHELL, 1, "fold", 9, 20, 0.0, "bust", 0.1),
    ("front facing", SHELL, 2, "pair", 9, 14, 0.0, "bust", 0.1),
    ("collar", SHELL, 2, "fold", 11, 21, 0.0, "bust", 0.1),
    ("back facing", INTERFACING, 1, "fold", 9, 20, 0.0, "bust", 0.1),
    ("front facing", INTERFACING, 2, "pair", 9, 14, 0.0, "bust", 0.1),
    ("collar", INTERFACING, 1, "fold", 11, 21, 0.0, "bust", 0.1),
)
# What testers took of a cloth 140 wide, in cm: a little less than the table says, as it should be.
USED = dict(zip(SIZES, (145, 150, 160, 165, 170, 180, 195, 210, 220, 240), strict=True))


def box(piece: tuple[Any, ...], size: str) -> tuple[float, float]:
    """Length and width of a piece in one size, up to half a centimetre."""
    *_, length, width, adds, measure, share = piece
    steps = SIZES.index(size) - SIZES.index(BASE)
    grown = BODY[measure][SIZES.index(size)] - BODY[measure][SIZES.index(BASE)]
    return _half(length + adds * steps), _half(width + share * grown)


def _half(value: float) -> float:
    return ceil(round(value * 2, 6)) / 2
