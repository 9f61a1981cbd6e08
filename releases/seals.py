"""The seals of sign-offs: each closes over its row and over the seal before it, under a key.

Whoever changes the database without the key cannot write a fitting seal; what was taken out is missed by the trail,
which holds a digest of every seal. Method, limits and a worked example: docs/algorithms/sign-off.md.
"""

from __future__ import annotations

import hashlib
import hmac
import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

Row = Mapping[str, Any]
# What a row is (the rest is what it says): exchanged alone or with the rest when two rows are swapped.
IDENTITY = ("id", "ref", "number", "before")


@dataclass(frozen=True)
class Tampered:
    """A sign-off that is not as it was sealed; `number` and `other` are those of the sealing."""

    what: Literal["edited", "swapped", "deleted", "added"]
    number: int
    ref: str
    version: str
    size: str
    other: int | None = None


@dataclass(frozen=True)
class Kept:
    """What the trail keeps of a sealing: the row's ref and number, its version's ref, its size, the digest of number
    and seal."""

    ref: str
    number: int
    version_ref: str
    digest: str
    size: str = ""


def sealing_key(secret: str) -> bytes:
    """The key of the seals: derived, so that the secret itself signs nothing else."""
    return hashlib.sha256(b"seal of a size's sign-off:" + secret.encode()).digest()


def canonical(row: Row) -> str:
    """A row in its one written form: JSON, keys in order, no spaces, letters as they are."""
    return json.dumps(dict(row), sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def seal(row: Row, key: bytes) -> str:
    """HMAC-SHA256 of the row without its own seal, in hex."""
    rest = {name: value for name, value in row.items() if name != "seal"}
    return hmac.new(key, canonical(rest).encode(), hashlib.sha256).hexdigest()


def trail_digest(number: int, sealed: str) -> str:
    """What the trail keeps of a seal."""
    return hashlib.sha256(json.dumps([number, sealed]).encode()).hexdigest()


def verify(rows: Sequence[Row], trail: Iterable[Kept], key: bytes) -> list[Tampered]:
    """Every row of a studio that was edited, swapped, deleted or added, by its number; none: all stand as sealed."""
    kept = {one.ref: one for one in trail}
    refs = {str(row["ref"]) for row in rows}
    missing = {one.number: one for one in kept.values() if one.ref not in refs}
    bad = [row for row in rows if not _stands(row, kept.get(str(row["ref"])), key)]
    found = [_named(row, bad, kept, missing, key) for row in bad]
    accounted = {one.number for one in found if one.what in {"swapped", "edited"}}
    gone = [
        Tampered("deleted", n, one.ref, one.version_ref, one.size) for n, one in missing.items() if n not in accounted
    ]
    found += [*gone, *_unlinked(rows, {one.number for one in (*found, *gone)})]
    return sorted(found, key=lambda one: (one.number, one.what))


def _stands(row: Row, kept: Kept | None, key: bytes) -> bool:
    if kept is None or not hmac.compare_digest(str(row["seal"]), seal(row, key)):
        return False
    return kept.digest == trail_digest(row["number"], str(row["seal"]))


def _named(row: Row, bad: Sequence[Row], kept: Mapping[str, Kept], missing: Mapping[int, Kept], key: bytes) -> Tampered:
    """Swapped where it stands whole again with what another bad row is, or says; else added or edited."""
    known = kept.get(str(row["ref"])) or missing.get(row["number"])
    number, ref = (known.number, known.ref) if known else (row["number"], str(row["ref"]))
    at = (number, ref, str(row["version_number"]), str(row["size"]))
    for other in bad:
        if other is not row and _exchanged(row, other, kept, key):
            theirs = kept.get(str(other["ref"])) or missing.get(other["number"])
            return Tampered("swapped", *at, theirs.number if theirs else other["number"])
    return Tampered("edited" if known else "added", *at)


def _exchanged(row: Row, other: Row, kept: Mapping[str, Kept], key: bytes) -> bool:
    for parts in (("id",), IDENTITY, (*IDENTITY, "seal"), ("ref",), ("number",), ("id", "ref")):
        whole = {**row, **{name: other[name] for name in parts}}
        if _stands(whole, kept.get(str(whole["ref"])), key) or (
            "seal" not in parts and _stands({**whole, "seal": other["seal"]}, kept.get(str(whole["ref"])), key)
        ):
            return True
    return False


def _unlinked(rows: Sequence[Row], known: Collection[int]) -> list[Tampered]:
    """Rows that stand, but were sealed after another row than the one that is before them now."""
    missed, before = [], ""
    for row in sorted(rows, key=lambda one: one["number"]):
        if row["before"] != before and not {row["number"], row["number"] - 1} & set(known):
            at = (row["number"], str(row["ref"]), str(row["version_number"]), str(row["size"]))
            missed.append(Tampered("edited", *at))
        before = row["seal"]
    return missed
