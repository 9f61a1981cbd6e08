"""Lists among the facts: pieces, notions and tools, sizes; each in the forms that people write them in."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from measurements.printed_pairs import find_lengths
from releases.wording.facts_lengths import bare, decimal, key, read_mm
from releases.wording.facts_types import FactsError, NotionFact, PieceFact

_NAMES = ("name", "piece", "notion", "tool", "item", "what", "title", "label", "size")
_COUNTS = ("count", "n", "number", "quantity", "qty", "copies", "pieces", "times")
_HOW = ("cut", "how", "fold", "on_fold", "cut_on_fold", "layout", "note")
_CUT_LINE = re.compile(r"\b(?:cut\s*)?(\d{1,2})\b", re.IGNORECASE)
_LETTERS = ("XXXS", "XXS", "XS", "S", "M", "L", "XL", "XXL", "XXXL", "XXXXL")
_MOST_SIZES = 60
_ENDS = (("first", "from", "min"), ("last", "to", "max"))


def pieces(rows: Any) -> Iterator[PieceFact]:
    """The lines of a cutting list."""
    if isinstance(rows, Mapping):
        rows = [{"name": name, **(one if isinstance(one, Mapping) else {"cut": one})} for name, one in rows.items()]
    if not isinstance(rows, (list, tuple)):
        raise FactsError("pieces: a list is wanted")
    for i, row in enumerate(rows, start=1):
        if isinstance(row, str) and row.strip():
            yield _piece_line(row.strip())
        elif isinstance(row, Mapping) and _name(row):
            yield from _piece(row, f"pieces, entry {i}")
        else:
            raise FactsError(f"pieces, entry {i}: a name is wanted")


def _piece_line(line: str) -> PieceFact:
    """ "lower front", "lower front: cut 1 on fold", "2 x sleeve"."""
    name, how = line, ""
    if parted := re.fullmatch(r"(.*?)\s*(?:[:;,(]|\s[-\u2013]|\bcut\b)\s*(.*\d.*|.*\bfold\b.*|.*\bpairs?\b.*)", line):
        name, how = parted[1], parted[2]
    elif counted := re.fullmatch(r"(\d{1,2})\s*(?:x|\u00d7)?\s+(.+)", line):
        how, name = counted[1], counted[2]
    return PieceFact(name.strip() or line, _count_in(how), _fold_in(how) if how else None)


def _piece(row: Mapping[str, Any], place: str) -> Iterator[PieceFact]:
    values = {key(name): value for name, value in row.items()}
    name, letter = _name(row), str(values.get("letter") or values.get("code") or "").strip()
    cuts = values.get("cut", values.get("cuts"))
    if isinstance(cuts, Mapping) and not (set(map(key, cuts)) & {*_COUNTS, *_HOW}):
        cuts = [{"material": material, "count": count} for material, count in cuts.items()]
    for one in cuts if isinstance(cuts, (list, tuple)) else [cuts if isinstance(cuts, Mapping) else {}]:
        if not isinstance(one, Mapping):
            raise FactsError(f"{place}: {one!r} tells not how it is cut")
        inside = {**values, **{key(word): value for word, value in one.items()}}
        material = str(inside.get("material") or inside.get("fabric") or "").lower()
        yield PieceFact(name, _count(inside, place), _fold(inside), material, letter)


def _name(row: Mapping[str, Any]) -> str:
    values = {key(name): value for name, value in row.items()}
    return next((str(values[one]).strip() for one in _NAMES if isinstance(values.get(one), (str, int))), "")[:200]


def _count(values: Mapping[str, Any], place: str) -> int | None:
    for name in _COUNTS:
        if values.get(name) is not None and not isinstance(values[name], (list, tuple, Mapping)):
            return whole(values[name], f"{place}, {name}")
    told = [values[name] for name in ("cut", "how", "layout") if isinstance(values.get(name), str)]
    if counts := [count for text in told if (count := _count_in(text)) is not None]:
        return counts[0]
    cut = values.get("cut")
    return cut if isinstance(cut, int) and not isinstance(cut, bool) else None


def _count_in(text: str) -> int | None:
    found = _CUT_LINE.search(text)
    if found:
        return int(found[1]) * (2 if re.match(r"\s*pairs?\b", text[found.end() :]) else 1)
    return 2 if re.search(r"\bpair\b", text) else None


def _fold(values: Mapping[str, Any]) -> bool | None:
    """Whether it is cut on the fold: a truth value, or the words that tell how."""
    for name in _HOW:
        value = values.get(name)
        if isinstance(value, bool):
            return value
        if isinstance(value, str) and value.strip():
            return True if name in {"fold", "on_fold"} and value.lower() in {"yes", "true"} else _fold_in(value)
    return None


def _fold_in(text: str) -> bool | None:
    low = text.lower()
    if "fold" in low:
        return re.search(r"\b(?:no|not|off|without)\b", low) is None
    return False if re.search(r"\b(?:pairs?|sing(?:le|ly)|flat|mirror(?:ed)?|open(?:ed)?)\b", low) else None


def notions(rows: Any, group: str, unit: str) -> tuple[NotionFact, ...] | None:
    """What is needed: a list, a table of names with lengths or counts, or {needed: [...], optional: [...]}."""
    if rows is None:
        return None
    if isinstance(rows, str):
        rows = [part for part in re.split(r"\s*[;\n]\s*|,\s+(?!\d)", rows) if part.strip()]
    if isinstance(rows, Mapping):
        if parts := _needed_and_optional(rows, group, unit):
            return parts
        rows = [{"name": name, **(one if isinstance(one, Mapping) else {"length": one})} for name, one in rows.items()]
    if not isinstance(rows, (list, tuple)):
        raise FactsError(f"{group}: a list is wanted")
    return tuple(_notion(row, unit, f"{group}, entry {i}") for i, row in enumerate(rows, start=1))


def _needed_and_optional(rows: Mapping[str, Any], group: str, unit: str) -> tuple[NotionFact, ...]:
    parts = {key(name): one for name, one in rows.items()}
    if not parts or not set(parts) <= {"needed", "required", "optional"}:
        return ()
    found: list[NotionFact] = []
    for name, inside in parts.items():
        listed = notions(inside or [], f"{group}, {name}", unit) or ()
        found += [NotionFact(one.name, one.mm, one.optional or name == "optional") for one in listed]
    return tuple(found)


def _notion(row: Any, unit: str, place: str) -> NotionFact:
    if isinstance(row, str) and row.strip():
        found = find_lengths(row[:200])
        return NotionFact(row.strip()[:200], decimal(found[0].mm) if found else None, "optional" in row.lower())
    if not isinstance(row, Mapping) or not _name(row):
        raise FactsError(f"{place}: a name is wanted")
    values = {key(name): value for name, value in row.items()}
    name, own = bare(key(_name(row)))
    called = name.replace("_", " ") if own else _name(row)
    optional = values.get("optional") is True or values.get("needed") is False or values.get("required") is False
    return NotionFact(called, _notion_mm(values, own or unit, called, place), optional)


def _notion_mm(values: Mapping[str, Any], unit: str, called: str, place: str) -> Any:
    """The length of a notion; an amount may as well be a count ("7", "1 reel"), which is none."""
    for name in ("amount", "length", "size", "how_much"):
        text = values.get(name)
        if isinstance(text, str):
            found = find_lengths(text[:200])
            if found or name != "length" or not re.fullmatch(r"\s*\d+([.,]\d+)?\s*", text):
                return decimal(found[0].mm) if found else None
    if mm := read_mm({name: one for name, one in values.items() if name != "amount"}, unit, place):
        return mm
    found = find_lengths(called)
    return decimal(found[0].mm) if found else None


def sizes(value: Any, place: str) -> tuple[str, ...]:
    """The sizes in order: a list, "6-24", "6, 8, 10", or {from, to}."""
    if value is None:
        return ()
    if isinstance(value, Mapping):
        inside = {key(name): one for name, one in value.items()}
        for name in ("sizes", "labels", "size_range", "range"):
            if name in inside:
                return sizes(inside[name], place)
        first, last = (next((inside[one] for one in some if one in inside), None) for some in _ENDS)
        return tuple(map(str, value)) if first is None or last is None else _between(str(first), str(last))
    if isinstance(value, str):
        text = re.sub(r"\b(?:sizes?|uk|us|eu|misses)\b:?", " ", value[:500], flags=re.IGNORECASE).strip()
        ends = re.fullmatch(r"(\w{1,5})\s*(?:-|\u2013|\u2014|to|through)\s*(\w{1,5})", text)
        return _between(ends[1], ends[2]) if ends else tuple(part for part in re.split(r"[,;\s]+", text) if part)
    return words(value, place)


def _between(first: str, last: str) -> tuple[str, ...]:
    """All sizes from one to another, as far as their order is known: even numbers by two, letters by their order."""
    if first.isdecimal() and last.isdecimal() and int(first) < int(last):
        step = 2 if (int(last) - int(first)) % 2 == 0 else 1
        found = range(int(first), int(last) + 1, step)
        return tuple(map(str, found)) if len(found) <= _MOST_SIZES else (first, last)
    if first.upper() in _LETTERS and last.upper() in _LETTERS:
        a, b = _LETTERS.index(first.upper()), _LETTERS.index(last.upper())
        if a < b:
            return _LETTERS[a : b + 1]
    return (first, last)


def words(value: Any, place: str) -> tuple[str, ...]:
    """A list of names, however it is written."""
    if isinstance(value, str):
        value = [part for part in re.split(r"[,;\s]+", value[:2000]) if part]
    if isinstance(value, Mapping):
        value = list(value)
    if value is None:
        return ()
    if not isinstance(value, (list, tuple)):
        raise FactsError(f"{place}: a list is wanted")
    found = (_name(one) if isinstance(one, Mapping) else str(one).strip() for one in value)
    return tuple(one for one in found if one)


def whole(value: Any, place: str) -> int | None:
    """A whole number, also as text. Raises FactsError."""
    if value is None or isinstance(value, bool):
        return None
    try:
        return int(str(value).strip()[:20]) if isinstance(value, str) else int(value)
    except (TypeError, ValueError, OverflowError):
        raise FactsError(f"{place}: {value!r} is not a whole number") from None
