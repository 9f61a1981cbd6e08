"""The page of one step of the instructions, and that of the prints of one file."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from measurements.pair_check import PairFinding, check_texts
from measurements.translated import in_words
from testing_rounds.decided import file_name
from testing_rounds.models import Place, Round
from testing_rounds.overview_words import mm
from testing_rounds.print_faults import FileFault, Prints
from testing_rounds.round_findings import prints_of, since_words, squares_of, step_weights
from testing_rounds.step_notes import StepLine, step_line
from testing_rounds.step_weight import StepNotes


@dataclass(frozen=True)
class StepPage:
    """One step: the claim, its notes, the pairs of units in it that disagree, and the words as they could be."""

    number: int
    headline: str
    weighed: str
    line: StepLine
    pairs: tuple[str, ...]
    proposed: str


def step_page(found: Round, number: int) -> StepPage | None:
    """None where the instructions have no such step and nobody noted anything at it."""
    line = step_line(found, number)
    if line is None:
        return None
    weight = step_weights(found).get(number)
    findings = check_texts([(_("Step %(step)s") % {"step": number}, line.text)]) if line.text else ()
    return StepPage(
        number=number,
        headline=_step_headline(number, weight),
        weighed=in_words(weight.says()) if weight else _("Nobody noted anything here."),
        line=line,
        pairs=tuple(in_words(one.says) for one in findings),
        proposed=_mended(line.text, findings),
    )


def _step_headline(number: int, weight: StepNotes | None) -> str:
    if weight is None:
        return _("Nobody stumbled at step %(step)s.") % {"step": number}
    said = {
        "repeated": _("Step %(step)s loses testers: %(k)s of %(n)s noted something."),
        "watch": _("Some stumble at step %(step)s: %(k)s of %(n)s, as may come by chance."),
        "quiet": _("One note at step %(step)s, of %(n)s who sewed it."),
    }
    return said[weight.level] % {"step": number, "k": weight.noted, "n": weight.sewed}


def _mended(text: str, findings: tuple[PairFinding, ...]) -> str:
    """The step with each pair of units written as it should be; the words as they are where nothing is known."""
    for one in findings:
        if one.proposed:
            text = text.replace(one.text, one.proposed)
    return text


@dataclass(frozen=True)
class SquareLine:
    """One reading of a square: of whom, in which size, how far off, and whether it holds."""

    tester: str
    size: str
    read: Decimal
    percent: float
    alike: bool


@dataclass(frozen=True)
class PrintsPage:
    """The prints of one file."""

    name: str
    headline: str
    said: str
    since: str
    direction: int
    square: Decimal
    lines: tuple[SquareLine, ...]


def prints_page(found: Round, file: str) -> PrintsPage | None:
    """None where nobody read a square of the file, or the version has none."""
    squares, nominal = squares_of(found), found.version.test_square_mm
    own = [one for one in squares if one.file == file]
    if not own or not nominal:
        return None
    prints = prints_of(found)
    fault = next((one for one in prints.faults if one.file == file), None)
    names = {place.alias: str(place) for place in Place.objects.filter(round=found)}
    alike = set(fault.alike) if fault else set()
    nominal_cm = float(nominal / 10)
    lines = tuple(
        SquareLine(
            names.get(one.tester, one.tester),
            one.size,
            mm(one.read),
            100 * (one.read / nominal_cm - 1),
            one.tester in alike,
        )
        for one in own
    )
    return PrintsPage(
        name=capfirst(file_name(file)),
        headline=_prints_headline(file, fault, prints),
        said=in_words(fault.says()) if fault else _lone(file, prints, names),
        since=since_words(fault) if fault else "",
        direction=fault.direction if fault else 0,
        square=nominal,
        lines=lines,
    )


def _prints_headline(file: str, fault: FileFault | None, prints: Prints) -> str:
    places = {"file": file_name(file)}
    if fault:
        small = fault.direction < 0
        return (_("The %(file)s print small.") if small else _("The %(file)s print large.")) % places
    if any(one.file == file for one in prints.lone):
        return _("The %(file)s are true to size; a printer is not.") % places
    return _("The %(file)s print true to size.") % places


def _lone(file: str, prints: Prints, names: dict[str, str]) -> str:
    alone = [names.get(one.tester, one.tester) for one in prints.lone if one.file == file]
    if not alone:
        return _("No square is off by more than it can show.")
    return _("Off alone, so it is the printer and not the file: %(who)s.") % {"who": ", ".join(alone)}
