"""The fabric that a cutting list needs: folded and opened layouts, and the shorter of the two.

Method, limits, worked example and figures: docs/algorithms/fabric.md.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from releases.hand_layout import lay_in_bands
from releases.lay_boxes import PieceBox, folded_boxes, open_boxes, refusals
from releases.lay_types import Cloth, CutPiece, LayPlan, Placement, Way
from releases.strip_packing import WORK, Box, Packing, pack

# Folded cloth has half the boxes, and is chosen only where it is no longer than opened cloth: a quarter of the work.
FOLDED_SHARE = 4

Layer = Callable[[Sequence[PieceBox], int], Packing]


def plan(pieces: Sequence[CutPiece], cloth: Cloth, *, work: int = WORK) -> LayPlan:
    """The shortest layout that the search finds, never longer than the one in bands; folded where both are as short.

    All pieces are laid together, whatever their material: they are cut from one cloth.
    """
    return _shorter(
        pieces,
        cloth,
        lambda boxes, width: _searched(boxes, width, cloth, work),
        lambda boxes, width: _searched(boxes, width, cloth, work // FOLDED_SHARE),
    )


def quick_plan(pieces: Sequence[CutPiece], cloth: Cloth) -> LayPlan:
    """The layout in bands, at once: an upper limit of what `plan` needs."""
    return _shorter(pieces, cloth, *[lambda boxes, width: _in_bands(boxes, width, cloth)] * 2)


def _shorter(pieces: Sequence[CutPiece], cloth: Cloth, lay_open: Layer, lay_folded: Layer) -> LayPlan:
    refused = refusals(pieces, cloth)
    if refused:
        return LayPlan(None, None, refused=refused)
    opened = _open(pieces, cloth, lay_open)
    folded = _folded(pieces, cloth, lay_folded)
    if folded and folded.length is not None and opened.length is not None and folded.length <= opened.length:
        return replace(folded, least=opened.least)
    return opened


def _open(pieces: Sequence[CutPiece], cloth: Cloth, lay: Layer) -> LayPlan:
    boxes = open_boxes(pieces, cloth)
    packing = lay(boxes, cloth.usable)
    area = sum(box.along * box.across for box in boxes)
    return LayPlan(Way.OPEN, packing.length, _placed(boxes, packing, opened=True), least=-(-area // cloth.usable))


def _folded(pieces: Sequence[CutPiece], cloth: Cloth, lay: Layer) -> LayPlan | None:
    """Folded cloth, with an opened band behind it for what is cut from one layer; None where it goes not at all."""
    double, single = folded_boxes(pieces, cloth)
    if not double or any(_least_across(box) > cloth.folded for box in double):
        return None
    layers = lay(double, cloth.folded)
    placements = _placed(double, layers, opened=False)
    if not single:
        return LayPlan(Way.FOLDED, layers.length, placements)
    start = _up(layers.length + cloth.gap, cloth.repeat)
    band = lay(single, cloth.usable)
    behind = tuple(replace(one, x=one.x + start) for one in _placed(single, band, opened=True))
    return LayPlan(Way.FOLDED, start + band.length, placements + behind)


def _least_across(box: PieceBox) -> int:
    return min(box.across, box.along) if box.may_turn else box.across


def _up(length: int, repeat: int) -> int:
    return -(-length // repeat) * repeat if repeat else length


def _searched(boxes: Sequence[PieceBox], width: int, cloth: Cloth, work: int) -> Packing:
    """By search, with every box beginning on a whole repeat; or in bands, if those are no longer."""
    bands = _in_bands(boxes, width, cloth)
    grown = [_grown(box, cloth, cloth.repeat) for box in boxes]
    order = [spot.box for spot in sorted(bands.spots, key=lambda spot: (spot.x, spot.y))]
    found = _trimmed(pack(grown, width + cloth.gap, orders=[order], work=work), grown, boxes, cloth)
    return found if found.length < bands.length else bands


def _in_bands(boxes: Sequence[PieceBox], width: int, cloth: Cloth) -> Packing:
    grown = [_grown(box, cloth, 0) for box in boxes]
    return _trimmed(lay_in_bands(grown, width + cloth.gap, repeat=cloth.repeat), grown, boxes, cloth)


def _grown(box: PieceBox, cloth: Cloth, repeat: int) -> Box:
    """A box with the gap that follows it, and as long as it keeps the cloth busy where the print repeats."""
    along, across = _up(box.along + cloth.gap, repeat), box.across + cloth.gap
    other = (_up(box.across + cloth.gap, repeat), box.along + cloth.gap) if box.may_turn else None
    return Box(along, across, box.at_fold, other)


def _trimmed(packing: Packing, grown: Sequence[Box], boxes: Sequence[PieceBox], cloth: Cloth) -> Packing:
    """The packing in the boxes' own sides, without gaps; its length is up to a whole repeat."""
    spots = []
    for spot in packing.spots:
        box, other = boxes[spot.box], grown[spot.box].other == (spot.along, spot.across)
        along, across = (box.across, box.along) if other else (box.along, box.across)
        spots.append(replace(spot, along=along, across=across))
    end = max((spot.x + spot.along for spot in spots), default=0)
    return Packing(_up(end, cloth.repeat), tuple(spots), packing.bound)


def _placed(boxes: Sequence[PieceBox], packing: Packing, *, opened: bool) -> tuple[Placement, ...]:
    """Placements from a packing, in the order of the cutting list."""
    made = []
    for spot in sorted(packing.spots, key=lambda spot: spot.box):
        box = boxes[spot.box]
        turned = box.turned != (spot.along != box.along)
        made.append(Placement(box.piece, spot.x, spot.y, spot.along, spot.across, 90 if turned else 0, opened))
    return tuple(made)
