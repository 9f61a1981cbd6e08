"""Names beside the form: which side, at which height, and the line that leads to the zone.

A label is a target of 96 x 52 units (44 px high on a phone of 360 px), narrower only beside a sleeve. On each
side the labels keep the order of the form from the top down and give way no further than they must.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from testing_rounds.drawings.curves import Point, number
from testing_rounds.drawings.lettering import text_width, wrapped

HIT_WIDTH, HIT_HEIGHT = 96.0, 52.0
MIN_WIDTH = 56.0
NAME_SIZE, NOTE_SIZE = 14.4, 14.1
NAME_LINE, NOTE_STEP = 30.0, 17.0

LEFT = (
    "neck",
    "strap",
    "cap",
    "sleeve_length",
    "across_back",
    "bust",
    "front_length",
    "back_length",
    "high_hip",
    "rise",
    "length",
)
RIGHT = ("shoulder_line", "shoulder", "armhole", "upper_arm", "bust_point", "waist", "hip", "thigh")

# The top of a label's target where it must clear the sleeve: two rows above the shoulder, one short
# word beside the sleeve, the rest below its hem. Other labels stand level with their zone.
STANDS = {
    "neck": 4, "shoulder_line": 4, "strap": 56, "shoulder": 56, "cap": 102, "armhole": 104, "sleeve_length": 192,
    "upper_arm": 188,
}  # fmt: skip
FIRM = 40.0  # how much less such a label gives way than one that merely likes to be level


@dataclass(frozen=True)
class Label:
    """One name: its target rectangle, its words and its leader."""

    key: str
    name: str
    notes: tuple[tuple[float, str], ...]
    side: str
    x: float
    y: float
    width: float
    height: float
    text_x: float
    name_y: float
    lead: str
    dot: Point

    @property
    def anchor(self) -> str:
        return "start" if self.side == "left" else "end"


def spread(wants: Sequence[tuple[float, float]], heights: Sequence[float], top: float, bottom: float) -> list[float]:
    """Places for labels in order, each as near to its wanted (place, firmness) as the others' heights allow.

    Weighted least squares with "no overlap" as the only rule: neighbours that would overlap move as one block.
    """
    blocks: list[list[float]] = []  # firmness times place, firmness, labels in the block
    offset = 0.0
    offsets: list[float] = []
    for (want, firm), height in zip(wants, heights, strict=True):
        offsets.append(offset)
        blocks.append([firm * (want - offset), firm, 1])
        offset += height
        while len(blocks) > 1 and blocks[-2][0] / blocks[-2][1] >= blocks[-1][0] / blocks[-1][1]:
            blocks[-2:] = [[a + b for a, b in zip(*blocks[-2:], strict=True)]]
    starts = [total / firm for total, firm, count in blocks for _ in range(int(count))]
    limit = bottom - offset
    return [min(max(start, top), max(limit, top)) + before for start, before in zip(starts, offsets, strict=True)]


@dataclass(frozen=True)
class Naming:
    """What a label must say and where it points: anchors are the left and the right one."""

    key: str
    name: str
    note: str
    anchors: tuple[Point, Point]
    lift: float = 0.0  # how far above the zone's level the name would rather stand


@dataclass(frozen=True)
class Margins:
    """The drawing's room: its left and right edge, its foot, and the font size of the names."""

    left: float
    right: float
    foot: float
    taken: tuple[Point, ...] = ()  # points of the zones, which a label's target must not cover
    name_size: float = NAME_SIZE
    hit_width: float = HIT_WIDTH


def place_labels(named: Sequence[Naming], margins: Margins, sides: str = "both") -> tuple[Label, ...]:
    """Lay the names out beside the form; `sides` is "both", "left" or "right"."""
    if sides != "both":
        return _column(sorted(named, key=lambda one: one.anchors[0][1]), sides, margins)
    left = sorted((one for one in named if one.key in LEFT), key=lambda one: LEFT.index(one.key))
    right = sorted((one for one in named if one.key not in LEFT), key=lambda one: RIGHT.index(one.key))
    return _column(left, "left", margins) + _column(right, "right", margins)


def _column(named: Sequence[Naming], side: str, margins: Margins) -> tuple[Label, ...]:
    notes = [wrapped(one.note, margins.name_size, margins.hit_width - 2) for one in named]
    heights = [HIT_HEIGHT + NOTE_STEP * max(0, len(lines) - 1) for lines in notes]
    wants = [_wanted(one, one.anchors[0 if side == "left" else 1][1]) for one in named]
    tops = spread(wants, heights, 2, margins.foot)
    names = [text_width(one.name, margins.name_size) for one in named]
    widest = [max((text_width(line, margins.name_size) for line in lines), default=0.0) for lines in notes]
    labels = []
    for i, one in enumerate(named):
        # A leader that rises clears the note above it; one that falls clears its own note and the name below.
        above, below = max([0, *widest[i - 1 : i]]), max(widest[i], *names[i + 1 : i + 2], 0)
        labels.append(_label(one, notes[i], side, (tops[i], heights[i]), (names[i], above, below), margins))
    return tuple(labels)


def _wanted(one: Naming, anchor_y: float) -> tuple[float, float]:
    """Where the top of a label would best be, and how firmly."""
    if one.key in STANDS:
        return (STANDS[one.key], FIRM)
    level = anchor_y - NAME_LINE - 5
    return (level - one.lift, FIRM if one.lift else 1.0)


def _label(
    one: Naming,
    notes: Sequence[str],
    side: str,
    rows: tuple[float, float],
    widths: tuple[float, float, float],
    margins: Margins,
) -> Label:
    (top, height), (own, above, below) = rows, widths
    out, inward = (margins.left, 1) if side == "left" else (margins.right, -1)
    text_x, shelf_y = out + inward, top + NAME_LINE + 5
    dot = one.anchors[0 if side == "left" else 1]
    clear = above if dot[1] < shelf_y else below
    turn = text_x + inward * min(max(own + 8, clear + 4), abs(dot[0] - text_x) - 4)
    width = _free_width(margins, side, top, height)
    return Label(
        key=one.key, name=one.name, side=side,
        x=out if inward > 0 else out - width, y=round(top, 1), width=width, height=height,
        text_x=text_x, name_y=round(top + NAME_LINE, 1), dot=(round(dot[0], 1), round(dot[1], 1)),
        notes=tuple((round(top + NAME_LINE + NOTE_STEP * (i + 1) + 1.5, 1), line) for i, line in enumerate(notes)),
        lead=f"M{number(text_x)} {number(shelf_y)}H{number(turn)}L{number(dot[0])} {number(dot[1])}",
    )  # fmt: skip


def _free_width(margins: Margins, side: str, top: float, height: float) -> float:
    """A target is as wide as the sleeve beside it allows."""
    beside = [x for x, y in margins.taken if top - 4 <= y <= top + height + 4]
    if not beside:
        return margins.hit_width
    room = min(beside) - margins.left if side == "left" else margins.right - max(beside)
    return round(min(margins.hit_width, max(room - 2, MIN_WIDTH)), 1)
