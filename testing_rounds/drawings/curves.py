"""Seams as chains of cubic curves: split, turn round, mirror, and written as SVG paths.

A `Seam` is a start point followed by three points for every cubic segment, in drawing units.
Zones that share a seam use the very same points, so that no gap can open between them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache

Point = tuple[float, float]
Seam = tuple[Point, ...]


def seam(numbers: str) -> Seam:
    """Read "x y  x y x y x y ..." into a seam; the points after the first come in threes."""
    values = [float(word) for word in numbers.split()]
    points = tuple(zip(values[::2], values[1::2], strict=True))
    if len(points) % 3 != 1:
        raise ValueError(f"a seam needs 1 + 3n points, not {len(points)}")
    return points


def straight(a: Point, b: Point, sag: float = 0.0) -> Seam:
    """A seam from a to b that hangs `sag` units below the chord."""
    third = (between(a, b, 0.3), between(a, b, 0.7))
    return (a, (third[0][0], third[0][1] + sag * 4 / 3), (third[1][0], third[1][1] + sag * 4 / 3), b)


def between(a: Point, b: Point, t: float) -> Point:
    return (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t)


def split(one: Seam, t: float) -> tuple[Seam, Seam]:
    """Cut one cubic segment at t, after de Casteljau."""
    a, b, c, d = one
    ab, bc, cd = between(a, b, t), between(b, c, t), between(c, d, t)
    abc, bcd = between(ab, bc, t), between(bc, cd, t)
    cut = between(abc, bcd, t)
    return (a, ab, abc, cut), (cut, bcd, cd, d)


def piece(one: Seam, start: float, end: float) -> Seam:
    """The part of one cubic segment between two parameters."""
    left = split(one, end)[0]
    return split(left, start / end)[1] if start else left


def joined(*seams: Seam) -> Seam:
    """Seams end to end; each must begin where the one before ended."""
    whole = seams[0]
    for following in seams[1:]:
        if abs(whole[-1][0] - following[0][0]) + abs(whole[-1][1] - following[0][1]) > 1e-6:
            raise ValueError(f"seams do not meet at {whole[-1]} and {following[0]}")
        whole += following[1:]
    return whole


def back(one: Seam) -> Seam:
    """The same seam walked the other way."""
    return one[::-1]


def moved(one: Seam, place: Callable[[Point], Point]) -> Seam:
    return tuple(place(point) for point in one)


def mirrored(one: Seam, axis: float) -> Seam:
    """The seam on the other side of the centre line."""
    return tuple((2 * axis - x, y) for x, y in one)


def number(value: float) -> str:
    """A coordinate with at most two decimals."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def path(seams: Iterable[Seam], close: bool = False) -> str:
    """SVG path data of seams, each a subpath; closed subpaths bound areas."""
    return "".join(_subpath(one) + ("Z" if close else "") for one in seams)


@lru_cache(maxsize=4096)
def _subpath(one: Seam) -> str:
    """The few seams there are come again with every drawing; writing one costs more than looking it up."""
    words = [" ".join(number(value) for value in point) for point in one]
    curves = (" ".join(words[i : i + 3]) for i in range(1, len(words), 3))
    return f"M{words[0]}" + "".join(f"C{curve}" for curve in curves)
