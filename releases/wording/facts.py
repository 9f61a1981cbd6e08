"""What a version declares, read leniently from JSON: docs/wording-facts.md names every key.

A length is a number in `unit` (cm), a text with its unit ("1 cm", "3/8 in", "55 cm (21 5/8 in)"), a table ({"cm": 1}),
or stands under a key that ends in its unit ("hem_mm"). What a key cannot mean raises FactsError with its place; keys
that are not known are passed over.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from releases.wording.facts_lengths import UNITS, declared, key
from releases.wording.facts_lists import notions, pieces, sizes, whole, words
from releases.wording.facts_types import Facts, FactsError, NotionFact, PieceFact

__all__ = ["Facts", "FactsError", "NotionFact", "PieceFact", "read_facts"]

_BRITISH = re.compile(r"\b(?:uk|gb|british|english uk|tack(?:ing)?|toile|zip|commonwealth)\b")
_AMERICAN = re.compile(r"\b(?:us|usa|american|bast(?:e|ing)|muslin|zipper)\b")
# Other keys under which the same thing is read.
_PIECES = ("pieces", "cutting_list", "pattern_pieces")
_SIZES = ("sizes", "size_range", "chart_sizes", "chart", "size_chart")
_COVER = ("cover", "cover_sizes", "sizes_on_cover")
_LAYERS = ("layers", "layer_names", "pdf_layers")
_TOOLS = ("tools", "equipment")
_MATERIALS = ("materials", "fabrics", "material")


def read_facts(raw: Any) -> Facts:
    """Facts from the values of JSON. Raises FactsError."""
    if not isinstance(raw, Mapping):
        raise FactsError("the facts must be a JSON object")
    values = {key(name): value for name, value in raw.items()}
    values = {**_inside(values), **values}
    unit = str(values.get("unit", values.get("units", "cm"))).lower()
    if unit not in UNITS:
        raise FactsError(f"unit: {unit[:40]!r} is not one of cm, mm, m, in")
    listed = notions(_first(values, ("notions", "haberdashery")), "notions", unit)
    lengths = dict(declared(values, unit))
    return Facts(
        lengths={**_zip_of(listed or ()), **lengths},
        sizes=sizes(_first(values, _SIZES), "sizes"),
        cover=sizes(_first(values, _COVER), "cover"),
        layers=words(_first(values, _LAYERS), "layers"),
        pieces=tuple(pieces(_first(values, _PIECES) or ())),
        notions=listed,
        tools=notions(_first(values, _TOOLS), "tools", unit),
        materials=words(_first(values, _MATERIALS), "materials"),
        square_page=whole(_square_page(values), "square_page"),
        abbreviations=_abbreviations(values.get("abbreviations")),
        dialect=_dialect(values),
        both_units=values["both_units"] if isinstance(values.get("both_units"), bool) else None,
        steps=whole(_steps(values), "steps"),
        for_children=values.get("for_children") is True or values.get("children") is True,
    )


def _first(values: Mapping[str, Any], names: tuple[str, ...]) -> Any:
    return next((values[name] for name in names if values.get(name) is not None), None)


def _inside(values: Mapping[str, Any]) -> dict[str, Any]:
    """The facts may stand one table deeper, under `facts` or `version`."""
    inner = _first(values, ("facts", "version", "pattern"))
    return {key(name): value for name, value in inner.items()} if isinstance(inner, Mapping) else {}


def _zip_of(listed: tuple[NotionFact, ...]) -> dict[str, Decimal]:
    """The zip of the notions, where there is one length of it."""
    found = {one.mm for one in listed if one.mm is not None and re.search(r"\bzip", one.name.lower())}
    return {"zip": found.pop()} if len(found) == 1 else {}


def _square_page(values: Mapping[str, Any]) -> Any:
    """The page of the test square, under any key that names a square and a page."""
    for name, value in values.items():
        if "square" in name and "page" in name:
            return value
        if "square" in name and isinstance(value, Mapping):
            return next((one for part, one in value.items() if "page" in key(part)), None)
        if name in {"page", "pages"} and isinstance(value, Mapping):
            return next((one for part, one in value.items() if "square" in key(part)), None)
    return None


def _abbreviations(value: Any) -> frozenset[str]:
    """Those that are explained: a list of them, or a table with what each stands for."""
    if isinstance(value, Mapping):
        return frozenset(str(short).upper() for short, long in value.items() if long not in (None, "", False))
    return frozenset(word.upper() for word in words(value, "abbreviations"))


def _dialect(values: Mapping[str, Any]) -> str:
    """ "uk" or "us": from its name, a language tag, or the words that the booklet keeps to."""
    value = _first(values, ("dialect", "language", "locale", "english", "words"))
    if isinstance(value, Mapping):
        value = " ".join(str(one) for one in value.values())
    elif isinstance(value, (list, tuple)):
        value = " ".join(map(str, value))
    low = re.sub(r"[\W_]+", " ", str(value or "")[:500].lower())
    return "uk" if _BRITISH.search(low) else "us" if _AMERICAN.search(low) else ""


def _steps(values: Mapping[str, Any]) -> Any:
    steps = _first(values, ("steps", "step_count", "number_of_steps", "last_step"))
    if isinstance(steps, Mapping) and "count" in steps:
        return steps["count"]
    return len(steps) if isinstance(steps, (list, tuple, Mapping)) else steps
