"""What kind of object a part of a PDF is: every pikepdf object answers to every method, whatever it is."""

from __future__ import annotations

from typing import Any


def kind(value: Any) -> str:
    """ "array", "dictionary", "stream", "name", "string" ...; nothing for a plain number."""
    return str(getattr(value, "_type_name", ""))


def is_array(value: Any) -> bool:
    return kind(value) == "array"


def is_stream(value: Any) -> bool:
    return kind(value) == "stream"


def has_keys(value: Any) -> bool:
    return kind(value) in {"dictionary", "stream"}


def is_string(value: Any) -> bool:
    return kind(value) == "string"
