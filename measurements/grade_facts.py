"""What a designer declares for a grade check, read from JSON: one sentence where it cannot be read."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping
from typing import Any

from measurements.grade_rows import slug
from measurements.grade_types import GradeFacts

KEYS = ("kind", "fabric", "base", "breaks", "ease", "pairs", "gathers", "opening", "base_sewn")
# How far a size's ease may be from the one meant, where no tolerance is said: half a centimetre.
TOLERANCE = 0.5
# No length here is longer than a bolt of cloth, in cm.
LONGEST = 10_000.0


class FactsError(ValueError):
    """Facts that cannot be read; the message is one plain sentence."""


def read_facts(text: str | bytes) -> tuple[GradeFacts, tuple[str, ...]]:
    """The facts of a JSON text, and the names in it that are not known here."""
    try:
        said = json.loads(text)
    except (ValueError, RecursionError):
        raise FactsError("The facts are no JSON.") from None
    return facts_of(said)


def facts_of(said: Any) -> tuple[GradeFacts, tuple[str, ...]]:
    """The facts of a dictionary. Raises FactsError."""
    if not isinstance(said, dict):
        raise FactsError("The facts must be an object with names such as kind, breaks and ease.")
    opening, foot = _opening(said.get("opening"))
    facts = GradeFacts(
        kind=_word(said, "kind"),
        fabric=_word(said, "fabric"),
        base=_size(said["base"], "base") if said.get("base") not in (None, "") else None,
        breaks=_breaks(said["breaks"]) if said.get("breaks") else None,
        ease={name: _ease(name, value) for name, value in _named(said, "ease")},
        pairs=tuple(_pairs(said.get("pairs"))),
        gathers=tuple(_gathers(said.get("gathers"))),
        opening=opening,
        foot=foot,
        base_sewn={name: _number(value, f"base_sewn of {name}") for name, value in _named(said, "base_sewn")},
    )
    return facts, tuple(str(key) for key in said if key not in KEYS)


def _word(said: Mapping[str, Any], key: str) -> str:
    value = said.get(key)
    if value is None:
        return ""
    if not isinstance(value, str):
        raise FactsError(f"“{key}” must be a word.")
    return value.strip().lower()


def _size(value: Any, where: str) -> str:
    """A size label; a number stands for the label that is written so."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise FactsError(f"“{where}” must name a size.")
    return value.strip() if isinstance(value, str) else f"{value:g}"


def _named(said: Mapping[str, Any], key: str) -> Iterator[tuple[str, Any]]:
    value = said.get(key)
    if value is None:
        return
    if not isinstance(value, dict):
        raise FactsError(f"“{key}” must be an object with a measurement for every name.")
    yield from value.items()


def _breaks(value: Any) -> dict[str, tuple[str, ...]]:
    return {
        name: tuple(_size(one, f"breaks of {name}") for one in (sizes if isinstance(sizes, list) else [sizes]))
        for name, sizes in _named({"breaks": value}, "breaks")
    }


def _ease(name: str, value: Any) -> tuple[float, float]:
    if isinstance(value, list) and len(value) == 2:
        tolerance = TOLERANCE if value[1] is None else abs(_number(value[1], f"ease of {name}"))
        return _number(value[0], f"ease of {name}"), tolerance
    if isinstance(value, list) and len(value) == 1:
        value = value[0]
    return _number(value, f"ease of {name}"), TOLERANCE


def _lists(value: Any, key: str) -> Iterator[list[Any]]:
    if value is None:
        return
    if not isinstance(value, list):
        raise FactsError(f"“{key}” must be a list.")
    for one in value:
        if not isinstance(one, list) or not 2 <= len(one) <= 3 or not all(isinstance(name, str) for name in one[:2]):
            raise FactsError(f"Each of “{key}” must be two measurements and a number.")
        yield one


def _pairs(value: Any) -> Iterator[tuple[str, str, float]]:
    for one in _lists(value, "pairs"):
        yield one[0], one[1], _number(one[2], "pairs") if len(one) == 3 and one[2] is not None else 0.0


def _gathers(value: Any) -> Iterator[tuple[str, str, float | None]]:
    for one in _lists(value, "gathers"):
        ratio = _number(one[2], "gathers") if len(one) == 3 and one[2] is not None else None
        if ratio is not None and ratio <= 0:
            raise FactsError("A ratio of “gathers” must be more than nothing.")
        yield one[0], one[1], ratio


def _opening(value: Any) -> tuple[str, str]:
    """How one gets in, and the measurement at the opening's foot where it is named."""
    if value is None or value == "":
        return "", ""
    if isinstance(value, list) and value and all(isinstance(one, str) for one in value):
        return slug(value[0]), value[1] if len(value) > 1 else ""
    if isinstance(value, dict):
        way = value.get("way") or value.get("how") or value.get("kind") or ""
        return slug(str(way)), str(value.get("foot") or value.get("measure") or "")
    if not isinstance(value, str):
        raise FactsError("“opening” must be a word: overhead, stepped, or how else one gets in.")
    return slug(value), ""


def _number(value: Any, where: str) -> float:
    if isinstance(value, str):
        try:
            value = float(value.strip().replace(",", "."))
        except ValueError:
            value = None
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise FactsError(f"“{where}” must be a number of centimetres.")
    if not math.isfinite(value) or abs(value) > LONGEST:
        raise FactsError(f"“{where}” must be a number of centimetres.")
    return float(value)
