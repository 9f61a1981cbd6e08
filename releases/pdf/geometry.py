"""Affine maps and curves on the plane. A map is (a, b, c, d, e, f) as in ISO 32000-1, 8.3.3."""

from __future__ import annotations

import math

Matrix = tuple[float, float, float, float, float, float]
Point = tuple[float, float]
Box = tuple[float, float, float, float]  # left, bottom, right, top

UNCHANGED: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
# Curves become chords that leave them by no more than this, in mm.
CHORD_MM = 0.01
# What lies farther out than any sheet is a slip or a trap.
FAR_MM = 1e7


def times(first: Matrix, then: Matrix) -> Matrix:
    """The map that applies `first` and then `then`."""
    a, b, c, d, e, f = first
    p, q, r, s, t, u = then
    return (
        a * p + b * r,
        a * q + b * s,
        c * p + d * r,
        c * q + d * s,
        e * p + f * r + t,
        e * q + f * s + u,
    )


def at(matrix: Matrix, x: float, y: float) -> Point:
    return matrix[0] * x + matrix[2] * y + matrix[4], matrix[1] * x + matrix[3] * y + matrix[5]


def scale_of(matrix: Matrix) -> float:
    """How much a length grows, on the mean of all directions."""
    return math.sqrt(abs(matrix[0] * matrix[3] - matrix[1] * matrix[2]))


def curve(p0: Point, p1: Point, p2: Point, p3: Point, chord: float = CHORD_MM) -> list[Point]:
    """A Bezier curve as points after its first."""
    bend = max(
        math.hypot(p0[0] - 2 * p1[0] + p2[0], p0[1] - 2 * p1[1] + p2[1]),
        math.hypot(p1[0] - 2 * p2[0] + p3[0], p1[1] - 2 * p2[1] + p3[1]),
    )
    # The chord of a cubic over 1/n leaves it by at most 6 x bend / 8 n^2.
    count = min(200, max(1, math.ceil(math.sqrt(0.75 * min(bend, FAR_MM) / chord))))
    points = []
    for i in range(1, count):
        t = i / count
        s = 1 - t
        a, b, c, d = s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t
        points.append((a * p0[0] + b * p1[0] + c * p2[0] + d * p3[0], a * p0[1] + b * p1[1] + c * p2[1] + d * p3[1]))
    points.append(p3)
    return points


def box_of(points: list[Point]) -> Box:
    xs = [x for x, _ in points]
    ys = [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def common(first: Box, second: Box) -> Box:
    """What two boxes share; it may be empty (right of left, top below bottom)."""
    return max(first[0], second[0]), max(first[1], second[1]), min(first[2], second[2]), min(first[3], second[3])


def grown(box: Box, by: float) -> Box:
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by


def holds(box: Box, x: float, y: float) -> bool:
    return box[0] <= x <= box[2] and box[1] <= y <= box[3]


def apart(first: Box, second: Box) -> bool:
    """Whether two boxes have nothing in common."""
    return first[0] > second[2] or first[2] < second[0] or first[1] > second[3] or first[3] < second[1]


def contains(outer: Box, inner: Box) -> bool:
    return holds(outer, inner[0], inner[1]) and holds(outer, inner[2], inner[3])


def within(a: Point, b: Point, box: Box) -> tuple[Point, Point] | None:
    """The part of a segment inside a box, or None (Liang and Barsky)."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    low, high = 0.0, 1.0
    for p, q in ((-dx, a[0] - box[0]), (dx, box[2] - a[0]), (-dy, a[1] - box[1]), (dy, box[3] - a[1])):
        if p == 0:
            if q < 0:
                return None
            continue
        t = q / p
        if p < 0:
            low = max(low, t)
        else:
            high = min(high, t)
        if low > high:
            return None
    return (a[0] + low * dx, a[1] + low * dy), (a[0] + high * dx, a[1] + high * dy)
