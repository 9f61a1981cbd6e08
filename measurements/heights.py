"""How much of a difference in height falls on each length of a garment (common practice, no source)."""

from __future__ import annotations

from decimal import Decimal

# The share of a person's height that lies along each length.
HEIGHT_SHARES: dict[str, Decimal] = {
    "nape_to_waist": Decimal("0.25"),
    "waist_to_knee": Decimal("0.35"),
    "waist_to_calf": Decimal("0.45"),
    "waist_to_floor": Decimal("0.62"),
    "arm": Decimal("0.35"),
}


def length_to_add(height_mm: Decimal, drafted_for_mm: Decimal, along: str) -> Decimal:
    """Millimetres to add to a length (negative: to take) for a body of this height. `along` is a key above."""
    return (height_mm - drafted_for_mm) * HEIGHT_SHARES[along]
