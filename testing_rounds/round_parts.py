"""The parts of a round file, read one by one; what is wrong is said in one sentence with its place."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any, NoReturn

from testing_rounds.json_text import Path, one_line, shown

Bounds = tuple[float, float]

LONGEST_SENTENCE = 300

_ABSENT: Any = object()
_ONE_OF = {"reports": "report", "zones": "zone", "steps": "step", "sizes": "size"}


class RoundFileError(ValueError):
    """A round file that cannot be read. Its text is one sentence that names the place."""


def place(document: Any, path: Path) -> str:
    """A path in people's words: ("reports", 6, "zones", "waist") -> "report 7 (T007), zone waist"."""
    words: list[str] = []
    value, steps = document, list(path)
    while steps:
        step = steps.pop(0)
        value = _inside(value, step)
        if isinstance(step, int):
            words.append(f"entry {step + 1}")
        elif not steps or not isinstance(value, dict | list):
            words.append(_short(step))
        else:
            member = steps.pop(0)
            value = _inside(value, member)
            words.append(f"{_ONE_OF.get(step, _short(step))} {_member(member, value)}")
    return ", ".join(words if len(words) <= 5 else [*words[:5], "and deeper"])


def _inside(value: Any, step: str | int) -> Any:
    try:
        return value[step]
    except (KeyError, IndexError, TypeError):
        return None


def _member(member: str | int, value: Any) -> str:
    if isinstance(member, str):
        return _short(member)
    names = [value.get("tester"), value.get("key")] if isinstance(value, dict) else []
    name = next((name for name in names if isinstance(name, str) and name), "")
    return f"{member + 1} ({_short(name)})" if name else str(member + 1)


def _short(name: str) -> str:
    return one_line(name) or '""'


class Part:
    """One object of the file and the path to it. Each reader raises RoundFileError."""

    def __init__(self, document: Any, path: Path, values: dict[str, Any]) -> None:
        self.document, self.path, self.values = document, path, values

    @classmethod
    def whole(cls, document: Any) -> Part:
        """The file itself."""
        if not isinstance(document, dict):
            raise RoundFileError(f"the file is {shown(document)}; it must be an object")
        return cls(document, (), document)

    @property
    def keys(self) -> tuple[str, ...]:
        return tuple(self.values)

    def beside(self, known: Mapping[str, Any]) -> dict[str, Any]:
        """What stands under keys that are not ours; and each null of ours that says what an absent key says."""
        return {
            key: value
            for key, value in self.values.items()
            if key not in known or (value is None and known[key] is not None)
        }

    def fault(self, sentence: str) -> NoReturn:
        """Say something of this part as a whole."""
        where = place(self.document, self.path)
        raise RoundFileError(one_line(f"{where}: {sentence}" if where else sentence, LONGEST_SENTENCE))

    def refuse(self, name: str, value: Any, must: str) -> NoReturn:
        """Say what a value is, and what it must be."""
        what = "missing" if value is _ABSENT else shown(value)
        self.fault(f"{_short(name)} is {what}; it must be {must}")

    def known(self, names: Collection[str], noun: str) -> None:
        """Refuse a key that is none of the names."""
        for key in self.values:
            if key not in names:
                self.fault(f"{_short(key)} is no {noun} of this round; its {noun}s are {_listed(names, 'and')}")

    def exactly(self, key: str, must: str | int) -> None:
        value = self.values.get(key, _ABSENT)
        if type(value) is not type(must) or value != must:
            self.refuse(key, value, shown(must))

    def text(self, key: str, most: int) -> str:
        """A text that is there and not blank."""
        value = self.values.get(key, _ABSENT)
        if not _is_text(value, most):
            self.refuse(key, value, f"a text of 1 to {most} characters")
        return str(value)

    def text_or_none(self, key: str, most: int) -> str | None:
        return None if self.values.get(key) is None else self.text(key, most)

    def text_or(self, key: str, default: str, most: int) -> str:
        return default if self.values.get(key) is None else self.text(key, most)

    def texts(self, key: str, most: int, longest: int) -> tuple[str, ...]:
        """A list of texts."""
        values = self.items(key, most, required=True)
        for number, value in enumerate(values, 1):
            if not _is_text(value, longest):
                self.refuse(f"number {number} of {key}", value, f"a text of 1 to {longest} characters")
        return tuple(values)

    def one_of(self, key: str, choices: Collection[str]) -> str:
        """One of a few texts."""
        value = self.values.get(key, _ABSENT)
        if not isinstance(value, str) or value not in choices:
            self.refuse(key, value, f"one of {_listed(choices, 'or')}")
        return str(value)

    def one_of_or_none(self, key: str, choices: Collection[str]) -> str | None:
        return None if self.values.get(key) is None else self.one_of(key, choices)

    def flag(self, key: str) -> bool:
        value = False if self.values.get(key) is None else self.values[key]
        if not isinstance(value, bool):
            self.refuse(key, value, "true or false")
        return value

    def whole_number(self, key: str, low: int, high: int) -> int:
        value = self.values.get(key, _ABSENT)
        if type(value) is not int or not low <= value <= high:
            self.refuse(key, value, f"a whole number from {low} to {high}")
        return value

    def number(self, key: str, bounds: Bounds, unit: str = "cm") -> float | None:
        """A number in bounds, as it was written; None where it is absent or null."""
        return self._number(key, self.values.get(key), bounds, unit)

    def numbers(self, key: str, bounds: Bounds) -> dict[str, float | None]:
        """An object of lengths in cm by name."""
        part = self.part(key)
        return {name: part._number(name, value, bounds, "cm") for name, value in part.values.items()}

    def row(self, key: str, columns: Sequence[str], bounds: Bounds) -> tuple[float | None, ...]:
        """A list of lengths in cm, one for each size."""
        values = self.values[key]
        if not isinstance(values, list) or len(values) != len(columns):
            found = f"a list of {len(values)}" if isinstance(values, list) else shown(values)
            self.fault(f"{_short(key)} is {found}; it must be a list of {len(columns)}, a length for each size")
        return tuple(
            self._number(f"{key} in size {column}", value, bounds, "cm")
            for column, value in zip(columns, values, strict=True)
        )

    def _number(self, name: str, value: Any, bounds: Bounds, unit: str) -> float | None:
        low, high = bounds
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            self.refuse(name, value, f"a number from {low:g} to {high:g} ({unit})")
        return value

    def part(self, key: str, required: bool = False) -> Part:
        """An object; an empty one where it is absent or null."""
        value = self._or_empty(key, {}, required)
        if not isinstance(value, dict):
            self.refuse(key, value, "an object")
        return Part(self.document, (*self.path, key), value)

    def items(self, key: str, most: int, required: bool = False) -> list[Any]:
        """A list; an empty one where it is absent or null."""
        value = self._or_empty(key, [], required)
        if not isinstance(value, list):
            self.refuse(key, value, "a list")
        if len(value) > most:
            self.fault(f"{key} is a list of {len(value)}; at most {most} are read")
        return value

    def _or_empty(self, key: str, empty: Any, required: bool) -> Any:
        value = self.values.get(key, _ABSENT)
        return empty if not required and (value is None or value is _ABSENT) else value

    def parts(self, key: str, most: int, required: bool = False) -> list[Part]:
        """A list of objects."""
        values = self.items(key, most, required)
        for number, value in enumerate(values, 1):
            if not isinstance(value, dict):
                self.refuse(f"{_ONE_OF.get(key, key)} {number}", value, "an object")
        return [Part(self.document, (*self.path, key, i), value) for i, value in enumerate(values)]

    def parts_by_name(self, key: str, names: Collection[str]) -> dict[str, Part]:
        """An object of objects, each under one of the names."""
        outer = self.part(key)
        outer.known(names, _ONE_OF.get(key, key))
        return {name: outer.part(name) for name in outer.values}


def _is_text(value: Any, most: int) -> bool:
    return isinstance(value, str) and bool(value.strip()) and len(value) <= most


def _listed(names: Collection[str], last_joint: str) -> str:
    """The first names of a collection, for a sentence."""
    first = [_short(name) for name in list(names)[:20]]
    if len(names) > len(first) or len(first) < 2:
        return ", ".join(first) + (" ..." if len(names) > len(first) else "")
    return f"{', '.join(first[:-1])} {last_joint} {first[-1]}"
