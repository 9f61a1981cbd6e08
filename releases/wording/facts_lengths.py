"""Lengths among the facts: where they stand, in which unit, and what they are the length of."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

from measurements.printed_pairs import find_lengths
from releases.wording.facts_types import FactsError

UNITS = {"mm": Decimal(1), "cm": Decimal(10), "m": Decimal(1000), "in": Decimal("25.4"), "inch": Decimal("25.4"),
         "inches": Decimal("25.4")}  # fmt: skip
_MOST_MM = Decimal(1_000_000)
# The keys under which everything is a length, whatever it is called.
GROUPS = ("allowances", "lengths", "seam_allowances", "hems", "seams")
# Words of a key that tell nothing about which length it is.
_EMPTY_WORDS = frozenset(
    {"default", "defaults", "general", "standard", "main", "all", "value", "typed", "declared", "finished", "length",
     "lengths", "depth", "width", "allowance", "allowances", "of", "the", "by", "at", "is", "amount", *UNITS}
)  # fmt: skip
_SINGULAR = {"notches": "notch", "hems": "hem", "seams": "seam", "zips": "zip", "zipper": "zip", "zippers": "zip",
             "openings": "opening", "linings": "lining", "placket": "opening"}  # fmt: skip
_LINING_WORDS = frozenset({"offset", "shorter", "short", "difference", "less", "shortening", "up"})
# Keys that hold no length at all, however they are spelled.
_OTHER = frozenset(
    {"unit", "units", "count", "n", "number", "quantity", "qty", "page", "pages", "steps", "sizes", "pieces", "notions",
     "tools", "square", "layers", "cover", "name", "size", "square_page", "test_square", "dialect", "language",
     "locale", "abbreviations", "materials", "version", "both_units", "for_children"}
)  # fmt: skip
_CALLED = ("name", "kind", "what", "label", "key", "where")
_NAMED_WHOLE = frozenset({"allowance", "seam", "hem", "notch", "offset"})
_PARTS = {"cm", "mm", "m", "in", "inch", "inches", "length", "value", "length_cm", "length_mm", "length_in", "amount"}


def key(name: Any) -> str:
    """A key in lower case with underscores, whatever it was: `seamAllowance`, "Seam allowance", `seam-allowance`."""
    spaced = re.sub(r"(?<=[a-z])(?=[A-Z])", "_", str(name))
    return re.sub(r"[\s./()-]+", "_", spaced.strip().lower()).strip("_")


def bare(name: str) -> tuple[str, str]:
    """A key without the unit at its end, and that unit."""
    stem, _, end = name.rpartition("_")
    return (stem, end) if stem and end in UNITS else (name, "")


def declared(values: Mapping[str, Any], unit: str) -> Iterator[tuple[str, Decimal]]:
    """(name, mm) of every declared length. Raises FactsError."""
    for name, value in values.items():
        stem, own = bare(name)
        if stem in GROUPS:
            yield from _group(stem, value, own or unit)
        elif stem not in _OTHER and (found := name_of(stem, in_group=False)):
            yield from _under(found, stem, value, own or unit, name)


def _group(stem: str, value: Any, unit: str) -> Iterator[tuple[str, Decimal]]:
    """The lengths under `allowances`: a table, a list of rows with names, or one length for all seams."""
    if isinstance(value, (list, tuple)):
        for i, row in enumerate(value, start=1):
            if not isinstance(row, Mapping):
                raise FactsError(f"{stem}, entry {i}: a name and a length are wanted")
            inside = {key(name): one for name, one in row.items()}
            called = next((inside[one] for one in _CALLED if one in inside), "")
            named = name_of(key(called), in_group=True)
            mm = read_mm(inside, unit, f"{stem}, entry {i}")
            if named and mm is not None:
                yield _whole_name(stem, named), mm
    elif isinstance(value, Mapping) and not set(map(key, value)) <= _PARTS:
        for name, inner in value.items():
            part, own = bare(key(name))
            named = name_of(part, in_group=True) or ("seam allowance" if _only_empty(part) else "")
            if named:
                yield from _under(_whole_name(stem, named), part, inner, own or unit, f"{stem}.{name}")
    elif value is not None and stem != "lengths":
        mm = read_mm(value, unit, stem)
        if mm is not None:
            yield "hem" if stem == "hems" else "seam allowance", mm


def _whole_name(stem: str, named: str) -> str:
    """`hems: {sleeve: 3}` is the sleeve hem, `seam_allowances: {side: 2}` the side seam."""
    if stem == "hems" and "hem" not in named.split():
        return f"{named} hem"
    if stem in {"seam_allowances", "seams"} and named.rpartition(" ")[2] not in _NAMED_WHOLE:
        return f"{named} seam"
    return named


def _under(named: str, stem: str, value: Any, unit: str, place: str) -> Iterator[tuple[str, Decimal]]:
    """A length, or a table of several of one kind: `hem: {default: 2, sleeve: 3}`."""
    if isinstance(value, (list, tuple, bool)):
        return
    inside = {key(name): inner for name, inner in value.items()} if isinstance(value, Mapping) else {}
    if inside and not set(inside) & _PARTS:
        for name, inner in inside.items():
            part, own = bare(name)
            whole = name_of(f"{part}_{stem}", in_group=True)
            if whole and not isinstance(inner, (list, tuple, bool)) and part not in _OTHER:
                yield from _under(whole, f"{part}_{stem}", inner, own or unit, f"{place}.{name}")
        return
    if inside and not any(inside.get(one) is not None for one in _PARTS):
        return
    mm = read_mm(inside or value, unit, place)
    if mm is not None:
        yield named, mm


def _only_empty(stem: str) -> bool:
    return all(word in _EMPTY_WORDS for word in stem.split("_"))


def name_of(stem: str, *, in_group: bool) -> str:
    """What a key is the length of; "" where it is none of the known ones and stands in no group of lengths."""
    words = [_SINGULAR.get(word, word) for word in stem.split("_") if word]
    kept = [word for word in words if word not in _EMPTY_WORDS]
    if "lining" in kept and (set(kept) & _LINING_WORDS or kept == ["lining"]):
        return "lining offset"
    if not kept:
        return "seam allowance" if "allowance" in words or "allowances" in words else ""
    if kept[-1] == "sa" or kept == ["seam"] or kept == ["seam", "sa"]:
        kept = [*kept[:-1], "seam"] if len(kept) > 1 and kept != ["seam", "sa"] else ["seam"]
        return "seam allowance" if kept == ["seam"] else " ".join(kept)
    if "zip" in kept and "opening" in kept:
        return "opening"
    known = kept[-1] in {"hem", "notch", "zip", "opening"} or kept[-1] == "seam"
    if known and kept[-1] in {"notch", "zip", "opening"}:
        return kept[-1]
    return " ".join(kept) if known or in_group else ""


def read_mm(value: Any, unit: str, place: str) -> Decimal | None:
    """A length in mm from a number in `unit`, a text with or without its unit, or a table such as {"cm": 1}."""
    if value is None or isinstance(value, bool) or value == "":
        return None
    if isinstance(value, Mapping):
        return _table_mm({key(name): inner for name, inner in value.items()}, unit, place)
    if isinstance(value, str):
        return _typed_mm(value, unit, place)
    if not isinstance(value, (int, float, Decimal)) or not math.isfinite(value) or value < 0:
        raise FactsError(f"{place}: {value!r} is not a length")
    mm = Decimal(str(value)) * UNITS[unit]
    if mm > _MOST_MM:
        raise FactsError(f"{place}: {value!r} is not a length")
    return mm


def _table_mm(inside: Mapping[str, Any], unit: str, place: str) -> Decimal | None:
    """{"cm": 1}, {"length": 1, "unit": "cm"}, {"length_mm": 10}."""
    for name in UNITS:
        for spelled in (name, f"length_{name}", f"value_{name}"):
            if inside.get(spelled) is not None:
                return read_mm(inside[spelled], name, place)
    own = str(inside.get("unit") or unit).lower()
    found = next((inside[name] for name in ("length", "value", "amount") if inside.get(name) is not None), None)
    return read_mm(found, own if own in UNITS else unit, place)


def _typed_mm(text: str, unit: str, place: str) -> Decimal:
    short = text[:200]
    if found := find_lengths(short) or find_lengths(f"{short} {unit}"):
        return decimal(found[0].mm)
    raise FactsError(f"{place}: {short!r} is not a length")


def decimal(mm: Fraction) -> Decimal:
    return Decimal(mm.numerator) / mm.denominator
