"""What a measurement is, and how the name at the head of a spreadsheet row is recognised."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from measurements.lengths import Unit


@dataclass(frozen=True)
class Measure:
    """One measurement: what it is, how to take it, and between which millimetres a real one lies.

    `girth` tells a measure around from one along. `body` names the body measurement that a finished
    measurement is compared with for ease; it is None on a body measurement.
    """

    key: str
    name: str
    definition: str
    how: str
    low_mm: Decimal
    high_mm: Decimal
    girth: bool
    aliases: tuple[str, ...] = ()
    body: str | None = None

    def plausible(self, mm: Decimal) -> bool:
        return self.low_mm <= mm <= self.high_mm


_UNIT_NAMES: dict[str, Unit] = {
    **dict.fromkeys(("mm", "millimetres", "millimeters", "millimetre", "millimeter"), "mm"),
    **dict.fromkeys(("cm", "cms", "centimetres", "centimeters", "centimetre", "centimeter"), "cm"),
    **dict.fromkeys(("in", "ins", "inch", "inches", '"'), "in"),
}
_WORDS = "|".join(word for word in _UNIT_NAMES if word not in {"in", '"'})
_BRACKETED = re.compile(r"""[(\[{]\s*(?:in\s+)?([a-z"]+)\.?\s*[)\]}]""", re.IGNORECASE)
_TRAILING = re.compile(rf"""(?:^|[\s,;:/-])(?:in\s+)?({_WORDS}|in|")\.?\s*:?$""", re.IGNORECASE)


def split_unit(label: str) -> tuple[str, Unit | None]:
    """A label without the unit that it names: `Waist (in)` is `Waist` and in."""
    for pattern in (_BRACKETED, _TRAILING):
        match = pattern.search(label)
        if match and (unit := _UNIT_NAMES.get(match[1].lower())):
            rest = " ".join((label[: match.start()] + " " + label[match.end() :]).split())
            return rest.rstrip(" ,;:/-"), unit
    return label.strip(), None


def stated_unit(text: str) -> Unit | None:
    """The unit that a title or a corner cell names, if it names one and not two."""
    found = {unit for word, unit in _UNIT_NAMES.items() if word != '"' and re.search(rf"\b{word}\b", text.lower())}
    if "in" in found and not re.search(
        r"\b(inch|inches|ins)\b|[(\[]\s*in\.?\s*[)\]]|(^|[\s,;:/-])in\.?$", text.lower()
    ):
        found.discard("in")
    return found.pop() if len(found) == 1 else None


def normal_name(label: str) -> str:
    """A name for comparing: small letters, single spaces, no marks, numbers or words of no weight."""
    words = re.sub(r"[^a-z]+", " ", label.lower().replace("centre", "center")).split()
    return " ".join(word for word in words if word not in {"the", "of", "at", "girth", "circumference", "circ"})


class Catalogue:
    """Measurements by key, in order, found by any of their names."""

    def __init__(self, measures: Iterable[Measure]) -> None:
        self._by_key = {measure.key: measure for measure in measures}
        self._by_name: dict[str, Measure] = {}
        for measure in self._by_key.values():
            for name in (measure.key.replace("_", " "), measure.name, *measure.aliases):
                other = self._by_name.setdefault(normal_name(name), measure)
                if other is not measure:
                    raise ValueError(f"{name!r} names both {other.key} and {measure.key}")

    def __iter__(self) -> Iterator[Measure]:
        return iter(self._by_key.values())

    def __contains__(self, key: object) -> bool:
        return key in self._by_key

    def __getitem__(self, key: str) -> Measure:
        return self._by_key[key]

    def find(self, label: str) -> Measure | None:
        """The measurement that a label names, with or without a unit in it; None when no name matches."""
        if label in self._by_key:
            return self._by_key[label]
        return self._by_name.get(normal_name(split_unit(label)[0].replace("_", " ")))
