"""The words of the evidence in the reader's language: zones, cells, spans of sizes, levels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext, pgettext_lazy

from measurements import sentences
from measurements.translated import in_words
from testing_rounds import say
from testing_rounds.counts import Cell
from testing_rounds.models import Stage
from testing_rounds.reading import Reading
from testing_rounds.round_data import Zone
from testing_rounds.verdict_words import FITS, grade

LEVELS = {
    "too_few": gettext_lazy("Too few"),
    "repeated": gettext_lazy("Repeated"),
    "watch": gettext_lazy("Watch"),
    "quiet": gettext_lazy("Quiet"),
}
SHAPES = {
    "whole_range": gettext_lazy("the whole range: the draft"),
    "growing_up": gettext_lazy("growing towards the large sizes: the grade"),
    "growing_down": gettext_lazy("growing towards the small sizes: the grade"),
    "one_size": gettext_lazy("one size"),
    "from_size": gettext_lazy("from one size on: that step"),
    "none": gettext_lazy("nothing"),
}
NUMBERS = (
    pgettext_lazy("a number in words", "no"),
    pgettext_lazy("a number in words", "one"),
    pgettext_lazy("a number in words", "two"),
    pgettext_lazy("a number in words", "three"),
    pgettext_lazy("a number in words", "four"),
    pgettext_lazy("a number in words", "five"),
    pgettext_lazy("a number in words", "six"),
    pgettext_lazy("a number in words", "seven"),
    pgettext_lazy("a number in words", "eight"),
    pgettext_lazy("a number in words", "nine"),
    pgettext_lazy("a number in words", "ten"),
    pgettext_lazy("a number in words", "eleven"),
    pgettext_lazy("a number in words", "twelve"),
)


def spelled(number: int) -> str:
    """A number up to twelve in words, a larger one in figures."""
    return str(NUMBERS[number]) if 0 <= number < len(NUMBERS) else str(number)


def zone_name(zone: Zone) -> str:
    """A zone inside a sentence: "upper arm"."""
    return _(zone.label.replace("_", " "))


def zone_title(zone: Zone) -> str:
    """A zone at the head of a row: "Upper arm"."""
    return capfirst(zone_name(zone))


def pole(zone: Zone, direction: int) -> str:
    """The zone's word on that side."""
    return _(zone.low if direction < 0 else zone.high)


def poles(zone: Zone) -> str:
    """Both words: "tight or loose"."""
    return _("%(low)s or %(high)s") % {"low": pole(zone, -1), "high": pole(zone, 1)}


def verdict_words(zone: Zone, fit: int) -> str:
    """One answer: "much too tight", "a bit loose", "fits"."""
    if not fit:
        return _(FITS)
    template, values = grade(zone.low if fit < 0 else zone.high, abs(fit))
    return _(template) % {name: _(value) for name, value in values.items()}


def k_of_n(k: int, n: int, word: str) -> str:
    """ "3 of 4 tight"."""
    return _("%(k)s of %(n)s %(word)s") % {"k": k, "n": n, "word": word}


def cell_words(cell: Cell, zone: Zone) -> str:
    """What a cell says: "3 of 4 tight", "2 of 5 tight, 1 of 5 loose", "3 of 3 fit", "no answer counts"."""
    if not cell.counted:
        return _("no answer counts") if cell.aside else _("no answer")
    said = [(cell.low, pole(zone, -1)), (cell.high, pole(zone, 1))]
    if cell.high > cell.low:
        said.reverse()
    words = [k_of_n(k, cell.counted, word) for k, word in said if k]
    return ", ".join(words) or k_of_n(cell.fits, cell.counted, pgettext("so many of so many", "fit"))


def listed(names: Sequence[str]) -> str:
    """ "8", "8 and 10", "8, 10 and 12"."""
    return sentences.listed(names, _)


def size_span(sizes: Sequence[str], whole: Sequence[str]) -> str:
    """Sizes in few words: "18 to 24" where they stand together, "6, 10 and 14", "all sizes"."""
    if len(sizes) == len(whole) > 1:
        return _("all sizes")
    places = [whole.index(size) for size in sizes]
    if len(places) > 2 and places[-1] - places[0] == len(places) - 1:
        return _("%(first)s to %(last)s") % {"first": sizes[0], "last": sizes[-1]}
    return listed(sizes)


def reading_title(reading: Reading, zone: Zone, sizes: Sequence[str]) -> str:
    """The situation of a zone in one line; a run of sizes is named by its ends."""
    spoken = replace(zone, label=zone.label.replace("_", " "))
    named = reading
    if reading.reading in {"growing_up", "growing_down"}:
        named = replace(reading, sizes=(size_span(covered(reading, sizes), sizes),))
    return capfirst(in_words(say.title(named, spoken, sizes)))


def covered(reading: Reading, sizes: Sequence[str]) -> tuple[str, ...]:
    """The sizes that a reading speaks of, those without reports in between included."""
    if reading.reading == "whole_range":
        return tuple(sizes)
    if not reading.sizes:
        return ()
    places = [sizes.index(size) for size in reading.sizes]
    return tuple(sizes[min(places) : max(places) + 1])


def reading_words(reading: Reading, zone: Zone, sizes: Sequence[str]) -> str:
    """A reading in the width of a column: "Tight from 18 to 24, growing: the grade"."""
    places = {
        "word": capfirst(pole(zone, reading.direction)),
        "sizes": size_span(covered(reading, sizes), sizes),
        "first": reading.sizes[0] if reading.sizes else "",
        "last": reading.sizes[-1] if reading.sizes else "",
    }
    if reading.reading == "none" or reading.level != "repeated":
        return str(_QUIET[reading.level]) % {"word": pole(zone, reading.direction)}
    code: str = reading.reading
    if code == "from_size":
        code = "from_size_up" if reading.sizes and reading.sizes[-1] == sizes[-1] else "from_size_down"
    return str(_SHORT[code]) % places


_SHORT = {
    "whole_range": gettext_lazy("%(word)s over the whole range: the draft"),
    "growing_up": gettext_lazy("%(word)s, %(sizes)s: the grade"),
    "growing_down": gettext_lazy("%(word)s, %(sizes)s: the grade"),
    "one_size": gettext_lazy("%(word)s in %(sizes)s alone: one size"),
    "from_size_up": gettext_lazy("%(word)s from %(first)s up: that step"),
    "from_size_down": gettext_lazy("%(word)s from %(last)s down: that step"),
}
_QUIET = {
    "repeated": gettext_lazy("Watch: some say %(word)s"),
    "watch": gettext_lazy("Watch: some say %(word)s"),
    "quiet": gettext_lazy("Nothing"),
    "too_few": gettext_lazy("Too few answers"),
}


def stage_name(stage: str) -> str:
    """A stage in the reader's language; one of a round file's own stays as it is."""
    return str(Stage(stage).label) if stage in Stage.values else stage
