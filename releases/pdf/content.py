"""The operators of a content stream, one after another, with plain Python operands.

Numbers are floats, names are str without the slash, strings are bytes, arrays are lists and dictionaries dicts.
What is malformed is passed over, as readers of PDFs do. An inline image comes as `BI` with the digest of its data.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from typing import Any

_TOKEN = re.compile(
    rb"(?:[\x00\t\n\f\r ]+|%[^\r\n]*)*"
    rb"(?:([^\x00\t\n\f\r ()<>\[\]{}/%]+)"  # 1 a number or an operator
    rb"|/([^\x00\t\n\f\r ()<>\[\]{}/%]*)"  # 2 a name
    rb"|\(((?:[^()\\]|\\[\s\S])*)\)"  # 3 a string without brackets in it
    rb"|(\()"  # 4 a string with brackets in it
    rb"|<([0-9A-Fa-f\x00\t\n\f\r ]*)>"  # 5 a string in hexadecimal
    rb"|(<<|>>|\[|\]|[<>{})]))"  # 6 brackets
)
_NUMBER_BEGINS = frozenset(b"+-.0123456789")
_ESCAPE = re.compile(rb"\\([0-7]{1,3}|\r\n|[\s\S])")
_ESCAPED = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f", b"\r\n": b"", b"\n": b"", b"\r": b""}
_NAME_CODE = re.compile(rb"#([0-9A-Fa-f]{2})")
_IMAGE_END = re.compile(rb"[\x00\t\n\f\r ]EI(?=[\x00\t\n\f\r /\[(<]|$)")
# No operator takes more (ISO 32000-1, annex A); a longer row of numbers is rubbish.
_MOST_OPERANDS = 64
_MOST_NESTED = 32

Operator = tuple[bytes, list[Any]]


def operators(data: bytes) -> Iterator[Operator]:
    """Each operator with its operands."""
    place, end = 0, len(data)
    operands: list[Any] = []
    nested: list[list[Any]] = []
    match = _TOKEN.match
    while place < end:
        found = match(data, place)
        if found is None:
            place += 1
            continue
        place, kind = found.end(), found.lastindex
        if kind == 1:
            word = found[1]
            if word[0] in _NUMBER_BEGINS:
                (nested[-1] if nested else operands).append(_number(word))
                continue
            if nested:
                nested[-1].append(_WORDS.get(word))
            elif word == b"BI":
                place, digest = _inline_image(data, place)
                yield word, [digest]
            else:
                yield word, operands
                operands = []
            continue
        if kind == 6:
            _bracket(found[6], nested, operands)
            continue
        value, place = _value(found, data, place)
        (nested[-1] if nested else operands).append(value)
        if len(operands) > _MOST_OPERANDS:
            del operands[:-_MOST_OPERANDS]


_WORDS = {b"true": True, b"false": False}


def _number(word: bytes) -> float:
    try:
        return float(word)
    except ValueError:
        digits = re.match(rb"[+-]*(\d*\.?\d*)", word)
        return float(digits[1]) if digits and digits[1] not in {b"", b"."} else 0.0


def _value(found: re.Match[bytes], data: bytes, place: int) -> tuple[Any, int]:
    if found.lastindex == 2:
        return _name(found[2]), place
    if found.lastindex == 3:
        return _unescaped(found[3]), place
    if found.lastindex == 4:
        return _bracketed(data, place)
    digits = re.sub(rb"[^0-9A-Fa-f]", b"", found[5])
    return bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode()), place


def _name(raw: bytes) -> str:
    plain = _NAME_CODE.sub(lambda code: bytes([int(code[1], 16)]), raw) if b"#" in raw else raw
    return plain.decode("utf-8", "replace")


def _unescaped(raw: bytes) -> bytes:
    return _ESCAPE.sub(_one_escaped, raw) if b"\\" in raw else raw


def _one_escaped(found: re.Match[bytes]) -> bytes:
    word = found[1]
    if word[:1].isdigit() and word[0] < ord("8"):
        return bytes([int(word, 8) & 255])
    return _ESCAPED.get(word, word)


def _bracketed(data: bytes, place: int) -> tuple[bytes, int]:
    """A string from after its first bracket to the one that closes it."""
    depth, at = 1, place
    for found in re.compile(rb"\\[\s\S]|[()]").finditer(data, place):
        depth += {b"(": 1, b")": -1}.get(found[0], 0)
        at = found.end()
        if not depth:
            return _unescaped(data[place : at - 1]), at
    return _unescaped(data[place:]), len(data)


def _bracket(word: bytes, nested: list[list[Any]], operands: list[Any]) -> None:
    if word in {b"[", b"<<"}:
        if len(nested) < _MOST_NESTED:
            nested.append([])
    elif word in {b"]", b">>"} and nested:
        inner = nested.pop()
        value: Any = inner if word == b"]" else _dictionary(inner)
        (nested[-1] if nested else operands).append(value)


def _dictionary(inner: list[Any]) -> dict[str, Any]:
    pairs = zip(inner[::2], inner[1::2], strict=False)
    return {key: value for key, value in pairs if isinstance(key, str)}


def _inline_image(data: bytes, place: int) -> tuple[int, str]:
    begin = data.find(b"ID", place)
    found = _IMAGE_END.search(data, max(begin, place))
    end = found.end() if found else len(data)
    return end, hashlib.sha256(data[place:end]).hexdigest()[:32]
