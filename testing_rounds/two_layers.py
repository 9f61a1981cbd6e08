"""The people's counts and the reading of one zone: where they seem to differ, and why, in one sentence.

The counts leave answers out; the reading weighs them. Neither corrects the other. Rules and examples:
docs/algorithms/next-version.md.
"""

from __future__ import annotations

from collections.abc import Sequence

from measurements.sentences import Sentence, gettext_noop, sentence
from testing_rounds.counts import Cell
from testing_rounds.reading import Reading

_ = gettext_noop


def reconcile(cells: Sequence[Cell], reading: Reading) -> Sentence | None:
    """One sentence on the largest difference of the two layers; None where they say the same.

    `cells` is the row of the zone, in the order of the sizes.
    """
    named = set(reading.sizes) if reading.level == "repeated" else set()
    repeats = [cell.size for cell in cells if cell.repeated(reading.direction)]
    other_way = [cell.size for cell in cells if cell.repeated(-reading.direction)]
    if other_way:
        return _said("other_way", other_way)
    if named:
        beside = [cell.size for cell in cells if cell.size in named and not cell.repeated(reading.direction)]
        beyond = [size for size in repeats if size not in named]
        if beyond:
            return _said("beyond", beyond)
        if beside:
            return _said("borrowed", beside)
    elif repeats:
        return _said("unread" if reading.strength is None else "weighed", repeats)
    return _more_weighed(reading)


def _more_weighed(reading: Reading) -> Sentence | None:
    """The reading used answers that the counts leave out, and it matters: something is read, or they complain."""
    used, counted = (sum(pair[1] for pair in one.values()) for one in (reading.counts, reading.counted))
    complaints = [sum(pair[0] for pair in one.values()) for one in (reading.counts, reading.counted)]
    if used <= counted or (reading.level in {"quiet", "too_few"} and complaints[0] == complaints[1]):
        return None
    return sentence("layers_more", _SAID["more"], n=counted, all=used)


def _said(code: str, sizes: Sequence[str]) -> Sentence:
    return sentence(f"layers_{code}", _SAID[code], sizes=tuple(sizes))


_SAID = {
    "other_way": _(
        "The counts repeat the opposite complaint in %(sizes)s; the reading follows the side that more sizes "
        "support, so look there by itself."
    ),
    "beyond": _(
        "The counts repeat the complaint in %(sizes)s, and the reading does not name it there: with the "
        "neighbours it does not fit the pattern, so look there by itself."
    ),
    "borrowed": _(
        "The counts do not repeat the complaint in %(sizes)s; the reading names it there because the neighbours do."
    ),
    "weighed": _(
        "The counts repeat a complaint in %(sizes)s, but the reading finds that chance, habits and bodies "
        "explain it as well as a fault: more reports would tell."
    ),
    "unread": _("The counts repeat a complaint in %(sizes)s, and no pattern over the sizes supports it."),
    "more": _(
        "The counts leave answers out (%(n)s count); the reading weighs %(all)s, corrected for body, print and size."
    ),
}
