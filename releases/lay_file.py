"""A cutting list as a JSON file, and its layout as JSON: `manage.py lay_plan`.

Inside, lengths are millionths of the file's unit, so that sums are exact. The form of the file and of the answer:
docs/algorithms/fabric.md.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from math import ceil, isfinite
from typing import Any, NoReturn, TypeVar

from config.limits import LAY_BOXES, LAY_FILE_BYTES
from measurements.lengths import MM_PER, LengthError, Unit, read_length
from releases.fabric_units import buy
from releases.lay_types import Cloth, Cut, CutPiece, Grain, LayPlan

Kind = TypeVar("Kind", Cut, Grain)

PARTS = 1_000_000
UNITS: dict[str, Unit] = {"cm": "cm", "in": "in", "inch": "in", "inches": "in", "mm": "mm"}
# Both edges together, where the file does not say: some 1.5 cm each (common practice, no source).
USUAL_SELVEDGE_MM = Decimal(30)
LONGEST_MM = Decimal(100_000)
YES_NO = {"yes": True, "no": False, "none": False, "true": True, "false": False, "": False}


class LayFileError(ValueError):
    """A file that is no cutting list; its text is the sentence for the person who wrote it."""


def read_lay_file(content: bytes) -> tuple[list[CutPiece], Cloth, Unit]:
    """Pieces, cloth and unit of a file. Raises LayFileError with one sentence."""
    given = _loaded(content)
    unit = UNITS.get(str(_or(given.get("unit"), "cm")).strip().lower())
    if unit is None:
        _refuse(f"unit is {given.get('unit')!r}; it is cm or in.")
    cloth = _cloth(given, unit)
    listed = given.get("pieces")
    if not isinstance(listed, list) or not listed:
        _refuse("pieces is missing or empty: a cutting list names at least one piece.")
    pieces = [_piece(number, one, unit) for number, one in enumerate(listed, start=1)]
    if sum(piece.count for piece in pieces) > LAY_BOXES:
        _refuse(f"the list cuts more than {LAY_BOXES} pieces; lay them in several lists.")
    return pieces, cloth, unit


def answer(pieces: Sequence[CutPiece], cloth: Cloth, made: LayPlan) -> dict[str, Any]:
    """The layout in the file's own unit. A refused list has no length, and nothing is laid."""
    refused = [str(one) for one in made.refused]
    if made.length is None or made.way is None:
        empty = dict.fromkeys(("length", "raw", "buy_m", "buy_yd", "layout"))
        return {**empty, "placements": [], "refused": refused}
    bought = buy(made.length / cloth.cm, cloth.shrinkage)
    placements = [
        {
            "name": pieces[one.piece].name,
            "x": _number(one.x),
            "y": _number(one.y),
            "length": _number(one.length),
            "width": _number(one.width),
            "turned": one.turned,
        }
        for one in made.placements
    ]
    return {
        "length": _number(made.length),
        "raw": round(float(bought.raw_cm * cloth.cm / PARTS), 6),
        "buy_m": bought.metres,
        "buy_yd": bought.yards,
        "layout": made.way.value,
        "placements": placements,
        "refused": refused,
    }


def _number(parts: int) -> float:
    return parts / PARTS


def _loaded(content: bytes) -> Mapping[str, Any]:
    if len(content) > LAY_FILE_BYTES:
        _refuse("the file is too long to be a cutting list.")
    try:
        given = json.loads(content.decode("utf-8-sig"), parse_constant=_no_number)
    except LayFileError:
        raise
    except (ValueError, RecursionError) as error:
        raise LayFileError(f"the file is not JSON ({type(error).__name__}).") from None
    if not isinstance(given, dict):
        _refuse("the file holds no object: it begins with { and names width and pieces.")
    return given


def _no_number(text: str) -> NoReturn:
    _refuse(f"{text} is no number.")


def _cloth(given: Mapping[str, Any], unit: Unit) -> Cloth:
    cm = PARTS * 10 / Fraction(MM_PER[unit])
    selvedge = given.get("selvedge")
    return Cloth(
        width=_length(given.get("width"), "width", unit, least=1),
        selvedge=round(Fraction(USUAL_SELVEDGE_MM) / 10 * cm)
        if selvedge is None
        else _length(selvedge, "selvedge", unit),
        cm=cm,
        nap=_yes(given.get("nap")),
        shrinkage=_share(given.get("shrinkage")),
        repeat=_length(_or(given.get("repeat"), 0), "repeat", unit),
        gap=_length(_or(given.get("gap"), 0), "gap", unit),
    )


def _piece(number: int, given: object, unit: Unit) -> CutPiece:
    if not isinstance(given, dict):
        _refuse(f"piece {number} is no object.")
    name = str(_or(given.get("name"), f"piece {number}")).strip()[:80]
    cut = _one_of(Cut, given.get("cut"), f"{name}: cut")
    usual = 2 if cut == Cut.PAIR else 1
    return CutPiece(
        name=name,
        material=str(_or(given.get("material"), ""))[:80],
        count=_count(_or(given.get("count"), usual), name),
        cut=cut,
        grain=_one_of(Grain, _or(given.get("grain"), "length"), f"{name}: grain"),
        length=_length(given.get("length"), f"{name}: length", unit, least=1),
        width=_length(given.get("width"), f"{name}: width", unit, least=1),
    )


def _or(value: object, usual: object) -> object:
    return usual if value is None else value


def _one_of(kinds: type[Kind], value: object, what: str) -> Kind:
    text = str(value).strip().lower()
    if text not in {kind.value for kind in kinds}:
        _refuse(f"{what} is {value!r}; it is one of {', '.join(kind.value for kind in kinds)}.")
    return kinds(text)


def _count(value: object, name: str) -> int:
    whole = isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value) and value == int(value)
    if not whole or not 1 <= value <= LAY_BOXES:  # type: ignore[operator]
        _refuse(f"{name}: count is {value!r}; it is a whole number from 1 to {LAY_BOXES}.")
    return int(value)  # type: ignore[call-overload]


def _yes(value: object) -> bool:
    if value is None or isinstance(value, bool):
        return bool(value)
    if isinstance(value, int | float):
        return value != 0
    # Any other word names a direction.
    return YES_NO.get(str(value).strip().lower(), True)


def _share(value: object) -> Fraction:
    """A share such as 0.03; a number from 1 on, or one with a per cent sign, is per cent."""
    if value is None:
        return Fraction(0)
    text = str(value).strip()
    try:
        share = Fraction(text.rstrip("% ")) if not isinstance(value, bool) else Fraction(-1)
    except (ValueError, ZeroDivisionError):
        share = Fraction(-1)
    if share >= 1 or text.endswith("%"):
        share /= 100
    if not 0 <= share <= Fraction(1, 2):
        _refuse(f"shrinkage is {value!r}; it is a share such as 0.03, at most 0.5.")
    return share


def _length(value: object, what: str, unit: Unit, *, least: int = 0) -> int:
    """Millionths of the unit, rounded up so that a box is never too small."""
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        _refuse(f"{what} is {'missing' if value is None else repr(value)}; it is a number of {unit}.")
    if isinstance(value, str):
        try:
            value_in_unit = Fraction(read_length(value, unit).mm) / Fraction(MM_PER[unit])
        except LengthError as wrong:
            raise LayFileError(f"{what}: {wrong}") from None
    else:
        if isinstance(value, float) and not isfinite(value):
            _refuse(f"{what} is {value!r}; it is a number of {unit}.")
        value_in_unit = Fraction(str(value))
    parts = ceil(value_in_unit * PARTS)
    if not least <= parts or value_in_unit * Fraction(MM_PER[unit]) > LONGEST_MM:
        said = "above 0" if least else "0 or more"
        _refuse(f"{what} is {value!r}; it is a number of {unit}, {said}, and no longer than a bolt of cloth.")
    return parts


def _refuse(sentence: str) -> NoReturn:
    raise LayFileError(sentence)
