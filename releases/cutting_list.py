"""A cutting list as it is typed: a row a piece, a cell a size with its box, such as `66 x 40` or `26 x 15 3/4 in`.

Rows come from a table of fields or from a sheet whose first row names the columns. What cannot be read is an
obstacle; what can, but looks like a slip, is a doubt. Nothing is left out in silence.
Method and limits: docs/algorithms/fabric.md.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from config.limits import LAY_BOXES
from measurements.lengths import Length, LengthError, Unit, read_length
from measurements.sentences import Sentence, gettext_noop, sentence

CUTS = {
    "fold": "fold", "on fold": "fold", "on the fold": "fold", "cut on fold": "fold",
    "pair": "pair", "pairs": "pair", "in pairs": "pair", "mirrored": "pair",
    "single": "single", "singly": "single", "once": "single",
}  # fmt: skip
GRAINS = {
    "length": "length", "lengthwise": "length", "straight": "length", "": "length",
    "cross": "cross", "crosswise": "cross", "bias": "bias", "any": "any", "free": "any",
}  # fmt: skip
HEADS = {
    "name": "name", "piece": "name", "pieces": "name",
    "material": "material", "fabric": "material", "cloth": "material",
    "count": "count", "cut": "cut", "number": "count", "pcs": "count", "how": "cut", "how cut": "cut",
    "grain": "grain", "grainline": "grain",
}  # fmt: skip
_TIMES = re.compile(r"\s*(?:[x×*]|\bby\b)\s*", re.IGNORECASE)
# A box that is longer than this is a curtain, or in the wrong unit; one that is smaller is a loop, or in metres.
LONGEST_MM, SMALLEST_MM = Decimal(2500), Decimal(8)
# A grade makes a box smaller by a slip of the hand; a facing may stay as it is.
SHRINKS_MM = Decimal(1)


@dataclass(frozen=True)
class ListRow:
    """A row as typed: everything is text, a cell of `boxes` for every size."""

    name: str = ""
    material: str = ""
    count: str = ""
    cut: str = ""
    grain: str = ""
    boxes: tuple[str, ...] = ()

    @property
    def filled(self) -> bool:
        return bool(self.name or any(self.boxes))

    @property
    def cut_key(self) -> str | None:
        """How it is cut, as it is stored; in pairs until something is said, None where that cannot be read."""
        return CUTS.get(_plain(self.cut or "pair"))

    @property
    def grain_key(self) -> str | None:
        return GRAINS.get(_plain(self.grain))


@dataclass(frozen=True)
class PieceBoxes:
    """A piece as read: the box of each size, length first, None where it has none."""

    name: str
    material: str
    count: int
    cut: str
    grain: str
    boxes: tuple[tuple[Length, Length] | None, ...]


@dataclass(frozen=True)
class CuttingDraft:
    """What a list says: pieces in order, what hinders saving, and what a person should look at first."""

    pieces: tuple[PieceBoxes, ...]
    obstacles: tuple[Sentence, ...] = ()
    doubts: tuple[Sentence, ...] = ()


def read_rows(rows: Iterable[ListRow], sizes: Sequence[str], materials: Sequence[str], unit: Unit) -> CuttingDraft:
    """Read typed rows; empty ones are passed over. `unit` holds where a box names none."""
    obstacles: list[Sentence] = []
    pieces = []
    for row in rows:
        if row.filled:
            found, wrong = _read_row(row, sizes, materials, unit)
            obstacles += wrong
            pieces += [found] if found else []
    if not pieces and not obstacles:
        obstacles.append(sentence("empty", gettext_noop("The list is empty: name at least one piece and its box.")))
    if sum(piece.count for piece in pieces) > LAY_BOXES:
        said = gettext_noop("The list cuts more than %(most)s pieces. That is more than one garment.")
        obstacles.append(sentence("crowd", said, most=LAY_BOXES))
    return CuttingDraft(tuple(pieces), tuple(obstacles), tuple(_doubts(pieces, sizes)))


def _read_row(
    row: ListRow, sizes: Sequence[str], materials: Sequence[str], unit: Unit
) -> tuple[PieceBoxes | None, list[Sentence]]:
    wrong = []
    name = row.name or row.boxes[0]
    if not row.name:
        wrong.append(sentence("no_name", gettext_noop("A row has boxes and no name.")))
    material = _known(row.material, materials)
    if material is None:
        said = gettext_noop("%(piece)s: there is no material “%(material)s”; there are %(known)s.")
        wrong.append(sentence("material", said, piece=name, material=row.material, known=", ".join(materials)))
    cut, grain = row.cut_key if row.cut else None, row.grain_key
    if cut is None:
        said = gettext_noop("%(piece)s: “%(cut)s” is no way to cut; it is fold, pair or single.")
        wrong.append(sentence("cut", said, piece=name, cut=row.cut))
    if grain is None:
        said = gettext_noop("%(piece)s: “%(grain)s” is no grain; it is length, cross, bias or any.")
        wrong.append(sentence("grain", said, piece=name, grain=row.grain))
    count = _count(row.count or ("2" if cut == "pair" else "1"))
    if count is None:
        said = gettext_noop("%(piece)s: “%(count)s” is no number of pieces.")
        wrong.append(sentence("count", said, piece=name, count=row.count))
    boxes = []
    for size, text in zip(sizes, row.boxes, strict=True):
        try:
            boxes.append(read_box(text, unit))
        except LengthError as error:
            said = gettext_noop("%(piece)s, size %(size)s: %(why)s")
            wrong.append(sentence("box", said, piece=name, size=size, why=error.sentence))
    if wrong or material is None or cut is None or grain is None or count is None:
        return None, wrong
    return PieceBoxes(row.name, material, count, cut, grain, tuple(boxes)), wrong


def read_box(text: str, unit: Unit) -> tuple[Length, Length] | None:
    """Length and width of a box, or None for an empty cell. Raises LengthError."""
    text = text.strip()
    if not text:
        return None
    sides = _TIMES.split(text)
    if len(sides) != 2:
        said = gettext_noop("“%(typed)s” is no box: write its length, x and its width.")
        raise LengthError(sentence("no_box", said, typed=text[:40]))
    width = read_length(sides[1], unit)
    # "26 x 15 in": the unit behind the last number holds for both.
    length = read_length(sides[0], width.unit if width.stated else unit)
    if not length.mm or not width.mm:
        said = gettext_noop("“%(typed)s” has a side of nothing.")
        raise LengthError(sentence("flat", said, typed=text[:40]))
    return length, width


def _known(text: str, materials: Sequence[str]) -> str | None:
    """The material of that name; an empty cell is the first one."""
    if not text.strip():
        return materials[0] if materials else None
    return next((name for name in materials if _plain(name) == _plain(text)), None)


def _plain(text: str) -> str:
    return " ".join(text.lower().replace("-", " ").split())


def _count(text: str) -> int | None:
    text = text.strip().lower().removeprefix("cut").removeprefix("x").strip()
    return int(text) if text.isascii() and text.isdigit() and len(text) < 4 and 0 < int(text) <= LAY_BOXES else None


def _doubts(pieces: Sequence[PieceBoxes], sizes: Sequence[str]) -> Iterator[Sentence]:
    names: set[tuple[str, str]] = set()
    for piece in pieces:
        key = (_plain(piece.name), piece.material)
        if key in names:
            said = gettext_noop("%(piece)s stands in the list twice for %(material)s.")
            yield sentence("twice", said, piece=piece.name, material=piece.material)
        names.add(key)
        if piece.cut == "pair" and piece.count % 2:
            said = gettext_noop("%(piece)s is cut in pairs, and %(count)s is an odd number.")
            yield sentence("odd", said, piece=piece.name, count=piece.count)
        yield from _box_doubts(piece, sizes)


def _box_doubts(piece: PieceBoxes, sizes: Sequence[str]) -> Iterator[Sentence]:
    missing = [size for size, box in zip(sizes, piece.boxes, strict=True) if box is None]
    if missing:
        said = gettext_noop("%(piece)s has no box in size %(sizes)s: these sizes are laid without it.")
        yield sentence("missing", said, piece=piece.name, sizes=", ".join(missing))
    given = [(size, box) for size, box in zip(sizes, piece.boxes, strict=True) if box]
    for size, box in given:
        for side in box:
            if not SMALLEST_MM <= side.mm <= LONGEST_MM:
                said = gettext_noop("%(piece)s, size %(size)s: %(side)s is an unlikely side. Check its unit.")
                yield sentence("unlikely", said, piece=piece.name, size=size, side=side.mm)
    for (before, larger), (after, smaller) in pairwise(given):
        if any(a.mm - b.mm > SHRINKS_MM for a, b in zip(larger, smaller, strict=True)):
            said = gettext_noop("%(piece)s is smaller in size %(size)s than in size %(before)s.")
            yield sentence("smaller", said, piece=piece.name, size=after, before=before)


def read_sheet(cells: Sequence[Sequence[str]], sizes: Sequence[str]) -> tuple[list[ListRow], tuple[Sentence, ...]]:
    """The rows of a sheet, and what of its columns was left out. Its first row names the columns.

    A size has one column with its box, or two: `12 length`, `12 width`. Raises LengthError without a piece or a size.
    """
    heads = [_plain(cell) for cell in cells[0]] if cells else []
    columns: dict[str, int] = {}
    for at, head in enumerate(heads):
        columns.setdefault(HEADS.get(head, head), at)
    boxes = [_size_columns(size, columns) for size in sizes]
    if "name" not in columns or not any(boxes):
        said = gettext_noop("The first row must name a column “piece” and at least one of the sizes %(sizes)s.")
        raise LengthError(sentence("no_heads", said, sizes=", ".join(sizes)))
    used = {at for pair in boxes for at in pair} | {columns[key] for key in set(HEADS.values()) & set(columns)}
    left = [str(cells[0][at]) for at in range(len(heads)) if at not in used and heads[at]]
    said = gettext_noop("These columns are neither known nor a size, and were left out: %(columns)s.")
    notes = (sentence("left_out", said, columns=", ".join(left)),) if left else ()
    return [_sheet_row(row, columns, boxes) for row in cells[1:]], notes


def _size_columns(size: str, columns: Mapping[str, int]) -> tuple[int, ...]:
    plain = _plain(size)
    for head in (plain, f"size {plain}"):
        if head in columns:
            return (columns[head],)
        if f"{head} length" in columns and f"{head} width" in columns:
            return columns[f"{head} length"], columns[f"{head} width"]
    return ()


def _sheet_row(row: Sequence[str], columns: Mapping[str, int], boxes: Sequence[tuple[int, ...]]) -> ListRow:
    def cell(at: int | None) -> str:
        return row[at].strip() if at is not None and at < len(row) else ""

    name, material, count, cut, grain = (
        cell(columns.get(key)) for key in ("name", "material", "count", "cut", "grain")
    )
    boxed = tuple(" x ".join(text for at in pair if (text := cell(at))) for pair in boxes)
    return ListRow(name, material, count, cut, grain, boxed)
