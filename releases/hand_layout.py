"""The layout that a hand makes in bands across the cloth: quick, sure, and an upper limit for the search.

Longest box first, into the first band with room, filling the cloth behind shorter boxes; else a new band, as long as
its longest box. With a repeat, every band begins on a whole one. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from releases.strip_packing import Box, Packing, Spot, least_length


@dataclass(frozen=True)
class _Room:
    """Cloth that is still free in a band: from x and y, along and across. `edge`: it begins at the fold."""

    x: int
    y: int
    along: int
    across: int
    edge: bool


def lay_in_bands(boxes: Sequence[Box], width: int, *, repeat: int = 0) -> Packing:
    """Boxes in bands; their sides include the gap that follows each, and so does the width. Every box must fit."""
    bands: list[list[_Room]] = []
    spots, end = [], 0
    sides = [_usual_way(box, width) for box in boxes]
    for i in sorted(range(len(boxes)), key=lambda i: (-sides[i][0], sides[i][1])):
        along, across = sides[i]
        found = _first_room(bands, along, across, boxes[i].edge)
        if found is None:
            bands.append([_Room(end, 0, along, width, edge=True)])
            end += -(-along // repeat) * repeat if repeat else along
            found = (bands[-1], 0)
        band, at = found
        room = band.pop(at)
        y = room.y if boxes[i].edge or not room.edge else room.y + room.across - across
        band += _left_of(room, along, across, boxes[i].edge)
        spots.append(Spot(i, room.x, y, along, across))
    return Packing(end, tuple(spots), least_length(boxes, width))


def _usual_way(box: Box, width: int) -> tuple[int, int]:
    """The shorter way along, since a band is as long as its longest box."""
    return min(box.ways(width))


def _first_room(bands: list[list[_Room]], along: int, across: int, edge: bool) -> tuple[list[_Room], int] | None:
    for band in bands:
        for at, room in enumerate(band):
            if across <= room.across and along <= room.along and (room.edge or not edge):
                return band, at
    return None


def _left_of(room: _Room, along: int, across: int, at_fold: bool) -> list[_Room]:
    """What is left of a room: beside the box, and behind it. A box that needs no fold leaves the fold free."""
    spare, behind = room.across - across, room.along - along
    if at_fold or not room.edge:
        rest = [
            _Room(room.x, room.y + across, room.along, spare, edge=False),
            _Room(room.x + along, room.y, behind, across, room.edge),
        ]
    else:
        rest = [
            _Room(room.x, room.y, room.along, spare, edge=True),
            _Room(room.x + along, room.y + spare, behind, across, edge=spare == 0),
        ]
    return [one for one in rest if one.along > 0 and one.across > 0]
