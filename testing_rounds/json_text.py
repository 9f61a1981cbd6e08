"""JSON from people: read strictly, with the place of what is wrong.

Python's reader takes NaN, keeps the last of two equal keys and fails in its own words on depth
and size. Here each of these is refused with the path to it, so that a caller can name the place.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from typing import Any

# Our own files go six deep; notes of others may go deeper, a bomb goes thousands.
DEEPEST = 20

Path = tuple[str | int, ...]


class JsonTextError(ValueError):
    """What is wrong (`what`, without a full stop) and where (`path`, in `document` where it could be read)."""

    def __init__(self, what: str, path: Path = (), document: Any = None) -> None:
        super().__init__(what)
        self.what, self.path, self.document = what, path, document


class _Doubled(dict[str, Any]):
    """An object that named a key twice."""

    key = ""


def load(source: str | bytes, most_bytes: int) -> Any:
    """The document in a text of JSON.

    Raises JsonTextError for text that is too large, not UTF-8, not JSON, nested too deeply, or that
    holds NaN, Infinity, a key twice in one object, or characters that are no text (NUL, half a pair).
    """
    text = _decoded(source, most_bytes)
    try:
        document = json.loads(text, object_pairs_hook=_object)
    except json.JSONDecodeError as error:
        what = f"is not JSON: {_lower_first(error.msg)} at line {error.lineno}, column {error.colno}"
        raise JsonTextError(what) from None
    except RecursionError:
        raise JsonTextError(f"is nested too deeply: at most {DEEPEST} levels are read") from None
    except ValueError:  # Python reads no whole number of more than 4,300 digits
        raise JsonTextError("holds a number with thousands of digits") from None
    for path, value, depth in _walk(document):
        if what := _wrong(value, depth):
            raise JsonTextError(what, path, document)
    return document


def shown(value: Any, most: int = 40) -> str:
    """A value as JSON in one short line, for a sentence."""
    if isinstance(value, dict | list):
        return "an object" if isinstance(value, dict) else "a list"
    if isinstance(value, int) and abs(value) >= 10**most:
        return "a number of many digits"
    text = json.dumps(value, ensure_ascii=False)
    text = text if text.isprintable() else json.dumps(value)
    return text if len(text) <= most else text[: most - 1] + "…"


def one_line(text: str, most: int = 60) -> str:
    """A text of somebody's own, fit for one line of a sentence or a terminal."""
    return "".join(char for char in " ".join(text.split()) if char.isprintable())[:most]


def _decoded(source: str | bytes, most_bytes: int) -> str:
    if len(source) > most_bytes:
        raise JsonTextError(f"is too large: a round file holds at most {most_bytes / 1e6:g} MB")
    if isinstance(source, str):
        return source.removeprefix("\ufeff")
    try:
        return source.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise JsonTextError(f"is not UTF-8 text: byte {error.start + 1} cannot be read") from None


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) == len(pairs):
        return made
    doubled, seen = _Doubled(made), set[str]()
    doubled.key = next(key for key, _ in pairs if key in seen or seen.add(key))  # type: ignore[func-returns-value]
    return doubled


def _walk(document: Any) -> Iterator[tuple[Path, Any, int]]:
    """Every value with its path and depth, in the order of the text, without recursion."""
    waiting: list[tuple[Path, Any]] = [((), document)]
    while waiting:
        path, value = waiting.pop()
        yield path, value, len(path)
        if isinstance(value, dict):
            waiting.extend(((*path, key), value[key]) for key in reversed(value))
        elif isinstance(value, list):
            waiting.extend(((*path, i), value[i]) for i in range(len(value) - 1, -1, -1))


def _wrong(value: Any, depth: int) -> str:
    if depth > DEEPEST:
        return f"is nested too deeply: at most {DEEPEST} levels are read"
    if isinstance(value, float):
        return "" if math.isfinite(value) else "is not a finite number"
    if isinstance(value, str):
        return "" if _is_text(value) else "holds a character that is no text"
    if isinstance(value, dict):
        if isinstance(value, _Doubled):
            return f"names {shown(value.key)} twice"
        if not all(map(_is_text, value)):
            return "has a key with a character that is no text"
    return ""


def _is_text(value: str) -> bool:
    """Whether a text can be stored and printed: no NUL, and no half of a surrogate pair."""
    if value.isascii():
        return "\x00" not in value
    return "\x00" not in value and not any("\ud800" <= char <= "\udfff" for char in value)


def _lower_first(text: str) -> str:
    return text[:1].lower() + text[1:]
