"""The shortest layout, found by an exact solver: what the app's search is held against.

Opened cloth alone: whatever lies on folded cloth can be unfolded into a layout of the same length. The rules are the
app's: boxes do not overlap and stay within the usable width; nothing turns sideways but a box whose grain is free.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from releases.lay_boxes import PieceBox, open_boxes
from releases.lay_types import Cloth, Cut, CutPiece, Grain

# Whole centimetres: the solver's numbers stay small, and the app takes any unit.
CM = Fraction(1)
WIDTHS = (90, 115, 140, 150)
# Sides of a body part, a sleeve or yoke, and a facing or pocket, in cm: from, to along; from, to across.
PARTS = ((50, 110, 18, 45), (20, 60, 12, 40), (20, 60, 12, 40), (6, 30, 6, 22), (6, 30, 6, 22))


def invented_list(seed: int, most: int = 12) -> tuple[list[CutPiece], Cloth]:
    """A cutting list of 5 to `most` boxes on opened cloth, of the sizes that garments have; the same for a seed."""
    chance = random.Random(seed)  # noqa: S311
    cloth = Cloth(chance.choice(WIDTHS), 3, CM, nap=chance.random() < 0.3)
    pieces: list[CutPiece] = []
    wanted, boxes = chance.randint(5, most), 0
    while boxes < wanted:
        low, high, narrow, wide = chance.choice(PARTS)
        length, width = chance.randint(low, high), chance.randint(narrow, wide)
        cut = chance.choice((Cut.FOLD, Cut.PAIR, Cut.PAIR, Cut.SINGLE))
        count = 2 if cut == Cut.PAIR else 1
        if (cut == Cut.FOLD and 2 * width > cloth.usable) or boxes + count > most:
            continue
        grain = Grain.ANY if chance.random() < 0.15 else Grain.LENGTH
        pieces.append(CutPiece(f"piece {len(pieces) + 1}", "shell", count, cut, grain, length, width))
        boxes += count
    return pieces, cloth


def shortest(pieces: Sequence[CutPiece], cloth: Cloth, *, seconds: float) -> tuple[int, bool]:
    """The length of the best layout that the solver finds in that time, and whether it is proved to be the shortest."""
    from ortools.sat.python import cp_model

    boxes, usable = open_boxes(pieces, cloth), cloth.usable
    model = cp_model.CpModel()
    longest = sum(max(box.along, box.across) for box in boxes)
    end = model.new_int_var(0, longest, "end")
    along: list[Any] = []
    across: list[Any] = []
    for box in boxes:
        x, y = model.new_int_var(0, longest, ""), model.new_int_var(0, usable, "")
        length, width = _sides(model, box)
        along.append(model.new_interval_var(x, length, model.new_int_var(0, longest, ""), ""))
        across.append(model.new_interval_var(y, width, model.new_int_var(0, usable, ""), ""))
        model.add(x + length <= end)
    model.add_no_overlap_2d(along, across)
    model.add_cumulative(along, [interval.size_expr() for interval in across], usable)
    model.add(end * usable >= sum(box.along * box.across for box in boxes))
    model.minimize(end)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    return round(solver.objective_value), status == cp_model.OPTIMAL


def _sides(model: Any, box: PieceBox) -> tuple[Any, Any]:
    if not box.may_turn:
        return box.along, box.across
    turned = model.new_bool_var("")
    more = box.across - box.along
    return box.along + more * turned, box.across - more * turned
