"""From a cutting list to boxes: what one line asks of folded cloth, and of opened cloth.

Folded, a fold piece is its half at the fold and a pair is one box through both layers; a single piece needs opened
cloth. Opened, a fold piece is twice as wide and a pair is two boxes. Bias strips are cut from a square.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isqrt

from measurements.sentences import Sentence, gettext_noop, sentence
from releases.lay_types import Cloth, Cut, CutPiece, Grain


@dataclass(frozen=True)
class PieceBox:
    """One box to lay: its piece, its sides along and across the cloth, and how free it is."""

    piece: int
    along: int
    across: int
    at_fold: bool = False
    may_turn: bool = False
    turned: bool = False


def open_boxes(pieces: Sequence[CutPiece], cloth: Cloth) -> list[PieceBox]:
    """Every box on one layer of cloth."""
    return [box for i, piece in enumerate(pieces) for box in _opened(i, piece, cloth)]


def folded_boxes(pieces: Sequence[CutPiece], cloth: Cloth) -> tuple[list[PieceBox], list[PieceBox]]:
    """The boxes that are cut through both layers, and those that need opened cloth."""
    double: list[PieceBox] = []
    single: list[PieceBox] = []
    for i, piece in enumerate(pieces):
        if _needs_one_layer(piece):
            single += _opened(i, piece, cloth)
        else:
            double += _doubled(i, piece, cloth)
    return double, single


def _needs_one_layer(piece: CutPiece) -> bool:
    """A single piece; and a piece whose fold would not run along the cloth."""
    return piece.cut == Cut.SINGLE or (piece.cut == Cut.FOLD and piece.grain in (Grain.CROSS, Grain.BIAS))


def _opened(i: int, piece: CutPiece, cloth: Cloth) -> Iterator[PieceBox]:
    width = piece.width * (2 if piece.cut == Cut.FOLD else 1)
    return _boxes(i, piece, width, piece.count, cloth)


def _doubled(i: int, piece: CutPiece, cloth: Cloth) -> Iterator[PieceBox]:
    if piece.cut == Cut.FOLD:
        return (PieceBox(i, piece.length, piece.width, at_fold=True) for _ in range(piece.count))
    # An odd one out is cut from both layers too: never one too few.
    return _boxes(i, piece, piece.width, -(-piece.count // 2), cloth)


def _boxes(i: int, piece: CutPiece, width: int, count: int, cloth: Cloth) -> Iterator[PieceBox]:
    """Boxes of one width on any layers, by the piece's grain."""
    if piece.grain == Grain.BIAS:
        side = bias_square(piece.length, width, count)
        yield PieceBox(i, side, side)
    elif piece.grain == Grain.CROSS:
        yield from (PieceBox(i, width, piece.length, turned=True) for _ in range(count))
    else:
        # Turned sideways, the nap would run across the piece.
        may_turn = piece.grain == Grain.ANY and not cloth.nap and width != piece.length
        yield from (PieceBox(i, piece.length, width, may_turn=may_turn) for _ in range(count))


def bias_square(length: int, width: int, count: int) -> int:
    """The side of the square from which so many strips are cut at 45 degrees: (l + n w) / square root of 2, up."""
    total = length + count * width
    side = isqrt(total * total // 2)
    return side if 2 * side * side >= total * total else side + 1


def refusals(pieces: Sequence[CutPiece], cloth: Cloth) -> tuple[Sentence, ...]:
    """Why pieces do not go on this cloth, a sentence each. What goes on folded cloth goes on opened cloth too."""
    if cloth.usable <= 0:
        said = gettext_noop("The selvedges take all of this cloth: nothing of its width is left.")
        return (sentence("no_width", said),)
    found = {}
    for box in open_boxes(pieces, cloth):
        least = min(box.across, box.along) if box.may_turn else box.across
        if least > cloth.usable:
            found[box.piece] = _too_wide(pieces[box.piece], least, cloth)
    return tuple(found.values())


def _too_wide(piece: CutPiece, across: int, cloth: Cloth) -> Sentence:
    says = {
        Cut.FOLD: gettext_noop(
            "%(piece)s, opened out, needs %(across)s across and this cloth has %(usable)s: seam it, or do not offer "
            "this width."
        ),
        Cut.PAIR: gettext_noop(
            "%(piece)s needs %(across)s across and this cloth has %(usable)s: seam it, or do not offer this width."
        ),
    }
    said = says[Cut.FOLD if piece.cut == Cut.FOLD else Cut.PAIR]
    return sentence("too_wide", said, piece=piece.name, across=cloth.mm(across), usable=cloth.mm(cloth.usable))
