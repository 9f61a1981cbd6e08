"""A garment's rows beside the body's: which measurement each ease is taken from, in the sizes that both charts have."""

from __future__ import annotations

from dataclasses import dataclass

from measurements.grade_rows import Row, Rows
from measurements.grade_types import GradeFacts

# A measurement whose length is the style's choice, not the body's: a short sleeve has no ease along the arm.
STYLED = frozenset({"sleeve_length", "inside_leg"})


@dataclass(frozen=True)
class Pair:
    """A garment's row and the body's, in the garment's sizes; `x` are the places at which both have a value."""

    row: Row
    body: Row
    x: list[int]
    garment: list[float]
    body_cm: list[float]
    q: float

    @property
    def ease(self) -> list[float]:
        return [f - c for f, c in zip(self.garment, self.body_cm, strict=True)]


def pairs_of(body: Rows, finished: Rows, facts: GradeFacts) -> list[Pair]:
    """Every finished row with the body row that its ease is taken from."""
    meant = {row.key for name in facts.ease if (row := finished.called(name))}
    found = []
    for row in finished:
        if row.known in STYLED and row.key not in meant:
            continue
        other = body.known(row.body) if row.body else None
        other = other or next((one for one in body if one.key == row.key and not row.known), None)
        if other is None:
            continue
        spots = [
            (i, garment, body_cm)
            for i, (size, garment) in enumerate(zip(finished.sizes, row.cm, strict=True))
            if garment is not None and (body_cm := body.value(other, size)) is not None
        ]
        if spots:
            x = [place for place, _, _ in spots]
            garments, bodies = [cm for _, cm, _ in spots], [cm for _, _, cm in spots]
            found.append(Pair(row, other, x, garments, bodies, max(body.q, finished.q)))
    return found
