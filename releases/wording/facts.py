"""What a version declares, read leniently from JSON: docs/wording-facts.md names every key.

A length is a number in `unit` (cm), a text with its unit ("1 cm", "3/8 in", "55 cm (21 5/8 in)"), or a key that ends in
its unit ("hem_cm"). What a key cannot mean raises FactsError with its place; keys that are not known are passed over.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any

from measurements.printed_pairs import find_lengths

_UNIT_MM = {"mm": Decimal(1), "cm": Decimal(10), "m": Decimal(1000), "in": Decimal("25.4")}
# The same thing under the names that people give it.
_SAME = {
    "seam_allowance": "seam allowance", "seam_allowances": "seam allowance", "allowance": "seam allowance",
    "default": "seam allowance", "seam": "seam allowance", "sa": "seam allowance", "seams": "seam allowance",
    "notch": "notch", "notches": "notch", "notch_length": "notch", "notch_depth": "notch",
    "hem": "hem", "hem_allowance": "hem", "hems": "hem",
    "lining_offset": "lining offset", "lining": "lining offset", "lining_shorter": "lining offset",
    "lining_shorter_by": "lining offset",
    "zip": "zip", "zipper": "zip", "zip_length": "zip", "zipper_length": "zip",
    "opening": "opening", "opening_length": "opening",
}  # fmt: skip
_DIALECTS = {"uk": "uk", "gb": "uk", "british": "uk", "us": "us", "american": "us", "usa": "us"}


class FactsError(ValueError):
    """Facts that cannot be read. Its text is one sentence that names the place."""


@dataclass(frozen=True)
class PieceFact:
    """One line of the cutting list; `fold` is None where the list does not say how it is cut."""

    name: str
    count: int | None = None
    fold: bool | None = None
    material: str = ""


@dataclass(frozen=True)
class NotionFact:
    name: str
    mm: Decimal | None = None
    optional: bool = False


@dataclass(frozen=True)
class Facts:
    """What the words are held against; what is None or empty is not checked."""

    lengths: Mapping[str, Decimal] = field(default_factory=dict)
    sizes: tuple[str, ...] = ()
    cover: tuple[str, ...] = ()
    layers: tuple[str, ...] = ()
    pieces: tuple[PieceFact, ...] = ()
    notions: tuple[NotionFact, ...] | None = None
    tools: tuple[NotionFact, ...] | None = None
    materials: tuple[str, ...] = ()
    square_page: int | None = None
    abbreviations: frozenset[str] = frozenset()
    dialect: str = ""
    both_units: bool | None = None
    steps: int | None = None


def read_facts(raw: Any) -> Facts:
    """Facts from the values of JSON. Raises FactsError."""
    if not isinstance(raw, Mapping):
        raise FactsError("the facts must be a JSON object")
    unit = str(raw.get("unit", "cm"))
    if unit not in _UNIT_MM:
        raise FactsError(f"unit: {unit!r} is not one of cm, mm, m, in")
    values = {_key(name): value for name, value in raw.items()}
    pieces = tuple(_pieces(values.get("pieces") or values.get("cutting_list") or ()))
    notions = _notions(values, "notions", unit)
    lengths = dict(_lengths(values, unit))
    for notion in notions or ():
        if notion.mm is not None and "zip" in notion.name.lower():
            lengths["zip"] = notion.mm
    return Facts(
        lengths=lengths,
        sizes=_words(values.get("sizes", ()), "sizes"),
        cover=_ends(values.get("cover") or values.get("cover_sizes") or ()),
        layers=_words(values.get("layers", ()), "layers"),
        pieces=pieces,
        notions=notions,
        tools=_notions(values, "tools", unit),
        materials=_words(values.get("materials", ()), "materials"),
        square_page=_whole(_square(values), "square_page"),
        abbreviations=frozenset(word.upper() for word in _words(values.get("abbreviations", ()), "abbreviations")),
        dialect=_dialect(str(values.get("dialect") or "")),
        both_units=values.get("both_units") if isinstance(values.get("both_units"), bool) else None,
        steps=_whole(_count(values.get("steps")), "steps"),
    )


def _key(name: str) -> str:
    return re.sub(r"[\s-]+", "_", str(name).strip().lower())


def _lengths(values: Mapping[str, Any], unit: str) -> Iterable[tuple[str, Decimal]]:
    """Every declared length: those of `allowances` and `lengths`, and the few with a key of their own."""
    for group in ("allowances", "lengths"):
        inside = values.get(group) or {}
        if not isinstance(inside, Mapping):
            inside = (
                {"seam allowance": inside}
                if group == "allowances" and not isinstance(inside, list)
                else _listed(inside, group)
            )
        for name, value in inside.items():
            yield from _length_of(_key(name), value, unit, group)
    for name, value in values.items():
        if _bare(name)[0] in _SAME:
            yield from _length_of(name, value, unit, name)


def _listed(rows: Any, group: str) -> dict[str, Any]:
    """A list of {name, length} rows as a table."""
    try:
        return {str(row["name"]): row.get("length", row.get("value", row.get("cm"))) for row in rows}
    except (TypeError, KeyError, AttributeError):
        raise FactsError(f"{group}: a table of names and lengths is wanted") from None


def _bare(name: str) -> tuple[str, str]:
    """A key without the unit at its end, and that unit."""
    stem, _, end = name.rpartition("_")
    return (stem, end) if stem and end in _UNIT_MM else (name, "")


def _length_of(name: str, value: Any, unit: str, place: str) -> Iterable[tuple[str, Decimal]]:
    stem, own = _bare(name)
    if isinstance(value, Mapping) and not (set(value) & {"cm", "mm", "in", "length"}):
        for part, inner in value.items():
            yield from _length_of(f"{_key(part)}_{stem}" if _key(part) != "default" else stem, inner, unit, place)
        return
    mm = _mm(value, own or unit, f"{place}.{name}")
    if mm is not None:
        yield _SAME.get(stem, stem.replace("_", " ")), mm


def _mm(value: Any, unit: str, place: str) -> Decimal | None:
    if value is None or isinstance(value, bool):
        return None
    if isinstance(value, Mapping):
        for key in ("mm", "cm", "in"):
            if key in value:
                return _mm(value[key], key, place)
        return _mm(value.get("length"), unit, place)
    if isinstance(value, str):
        if found := find_lengths(value):
            return _decimal(found[0].mm)
        if found := find_lengths(f"{value} {unit}"):
            return _decimal(found[0].mm)
        raise FactsError(f"{place}: {value!r} is not a length")
    if not isinstance(value, (int, float)) or value != value or abs(value) > 1e6 or value < 0:
        raise FactsError(f"{place}: {value!r} is not a length")
    return Decimal(str(value)) * _UNIT_MM[unit]


def _decimal(mm: Fraction) -> Decimal:
    return Decimal(mm.numerator) / mm.denominator


def _pieces(rows: Any) -> Iterable[PieceFact]:
    if isinstance(rows, Mapping):
        rows = [{"name": name, **(one if isinstance(one, Mapping) else {"count": one})} for name, one in rows.items()]
    if not isinstance(rows, (list, tuple)):
        raise FactsError("pieces: a list is wanted")
    for i, row in enumerate(rows, start=1):
        if isinstance(row, str):
            yield PieceFact(row.strip())
        elif isinstance(row, Mapping) and str(row.get("name") or "").strip():
            yield _piece(row, i)
        else:
            raise FactsError(f"pieces, entry {i}: a name is wanted")


def _piece(row: Mapping[str, Any], number: int) -> PieceFact:
    cut = str(row.get("cut") or "").lower()
    fold = row.get("fold", row.get("on_fold"))
    known = "fold" in cut if cut else fold if isinstance(fold, bool) else None
    count = _whole(row.get("count", row.get("n", row.get("number"))), f"pieces, entry {number}, count")
    return PieceFact(str(row["name"]).strip(), count, known, str(row.get("material") or "").lower())


def _notions(values: Mapping[str, Any], group: str, unit: str) -> tuple[NotionFact, ...] | None:
    rows = values.get(group)
    if rows is None:
        return None
    if isinstance(rows, Mapping):
        rows = [
            {"name": name, "length": value} if not isinstance(value, Mapping) else {"name": name, **value}
            for name, value in rows.items()
        ]
    if not isinstance(rows, (list, tuple)):
        raise FactsError(f"{group}: a list is wanted")
    return tuple(_notion(row, unit, f"{group}, entry {i}") for i, row in enumerate(rows, start=1))


def _notion(row: Any, unit: str, place: str) -> NotionFact:
    if isinstance(row, str):
        found = find_lengths(row)
        return NotionFact(row.strip(), _decimal(found[0].mm) if found else None)
    if not isinstance(row, Mapping) or not str(row.get("name") or "").strip():
        raise FactsError(f"{place}: a name is wanted")
    mm = None
    for key, own in (
        ("length", unit),
        ("cm", "cm"),
        ("mm", "mm"),
        ("in", "in"),
        ("length_cm", "cm"),
        ("length_mm", "mm"),
        ("length_in", "in"),
    ):
        if row.get(key) is not None:
            mm = _mm(row[key], own, f"{place}, {key}")
    return NotionFact(str(row["name"]).strip(), mm, bool(row.get("optional")) or row.get("needed") is False)


def _words(value: Any, place: str) -> tuple[str, ...]:
    if isinstance(value, str):
        value = [part for part in re.split(r"[,\s]+", value) if part]
    if isinstance(value, Mapping):
        value = list(value)
    if not isinstance(value, (list, tuple)):
        raise FactsError(f"{place}: a list is wanted")
    return tuple(str(one.get("name", one.get("label", "")) if isinstance(one, Mapping) else one) for one in value)


def _ends(value: Any) -> tuple[str, ...]:
    """The sizes on the cover: a list, or "6-22"."""
    if isinstance(value, Mapping):
        value = value.get("sizes") or ()
    if isinstance(value, str):
        return tuple(
            part
            for part in re.split(r"\s*(?:-|\u2013|\bto\b|,)\s*", value.lower().replace("sizes", "").strip().upper())
            if part
        )
    return _words(value, "cover")


def _square(values: Mapping[str, Any]) -> Any:
    square = values.get("test_square") or values.get("square")
    return values.get("square_page", square.get("page") if isinstance(square, Mapping) else None)


def _count(steps: Any) -> Any:
    return len(steps) if isinstance(steps, (list, tuple, Mapping)) else steps


def _whole(value: Any, place: str) -> int | None:
    if value is None or isinstance(value, bool):
        return None
    try:
        return int(value)
    except (TypeError, ValueError, OverflowError):
        raise FactsError(f"{place}: {value!r} is not a whole number") from None


def _dialect(name: str) -> str:
    parts = re.split(r"[\W_]+", name.lower())
    return next((_DIALECTS[part] for part in parts if part in _DIALECTS), "")
