"""The page of one step of the instructions, and that of the prints of one file."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from decimal import Decimal

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from measurements.pair_check import PairFinding, agree, check_texts
from measurements.printed_pairs import PrintedPair, find_pairs
from measurements.translated import in_words
from releases.models import FileKind
from testing_rounds.decided import file_name
from testing_rounds.models import Place, Round
from testing_rounds.overview_words import mm
from testing_rounds.print_faults import FileFault, Prints, SquareRead
from testing_rounds.round_findings import prints_of, since_words, squares_of, step_weights
from testing_rounds.set_aside import HAIR
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
        proposed=_mended(found, number, line.text, findings),
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


def _mended(found: Round, number: int, text: str, findings: tuple[PairFinding, ...]) -> str:
    """The step with each pair of units as it could be: as the other steps pair one of its halves, else the metric half
    with its own inches; the words as they are where nothing is known."""
    if not findings:
        return text
    others = found.version.steps.exclude(number=number).values_list("text", flat=True)
    usual = Counter(pair.text for other in others for pair in find_pairs(other) if agree(pair))
    for one in findings:
        wrong = next((pair for pair in find_pairs(text) if not agree(pair)), None)
        known = next((said for said, _n in usual.most_common() if wrong and _shares(wrong, said)), one.proposed)
        if known:
            text = text.replace(wrong.text if wrong else one.text, known)
    return text


def _shares(wrong: PrintedPair, said: str) -> bool:
    """Whether a pair that is used elsewhere has one of the halves of this one."""
    return any(pair.inch_mm == wrong.inch_mm or pair.metric_mm == wrong.metric_mm for pair in find_pairs(said))


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
    """None for a file that is none and of which nobody read a square, and where the version has no square."""
    squares, nominal = squares_of(found), found.version.test_square_mm
    own = [one for one in squares if one.file == file]
    if not nominal or not (own or file in FileKind.values):
        return None
    prints = prints_of(found)
    fault = next((one for one in prints.faults if one.file == file), None)
    names = {place.alias: str(place) for place in Place.objects.filter(round=found)}
    lines = tuple(_square(one, float(nominal / 10), fault, names.get(one.tester, one.tester)) for one in own)
    return PrintsPage(
        name=capfirst(file_name(file)),
        headline=_prints_headline(file, fault, prints) if own else _unread(file),
        said=in_words(fault.says()) if fault else _lone(file, prints, names) if own else "",
        since=since_words(fault) if fault else "",
        direction=fault.direction if fault else 0,
        square=nominal,
        lines=lines,
    )


def _square(one: SquareRead, nominal_cm: float, fault: FileFault | None, name: str) -> SquareLine:
    error = one.read / nominal_cm - 1
    wrong = fault is not None and fault.least - HAIR <= error <= fault.most + HAIR
    return SquareLine(name, one.size, mm(one.read), 100 * error, wrong)


def _prints_headline(file: str, fault: FileFault | None, prints: Prints) -> str:
    places = {"file": file_name(file)}
    if fault:
        small = fault.direction < 0
        return (_("The %(file)s print small.") if small else _("The %(file)s print large.")) % places
    if any(one.file == file for one in prints.lone):
        return _("The %(file)s are true to size; a printer is not.") % places
    return _("The %(file)s print true to size.") % places


def _unread(file: str) -> str:
    return _("Nobody has read a square of the %(file)s yet.") % {"file": file_name(file)}


def _lone(file: str, prints: Prints, names: dict[str, str]) -> str:
    alone = [names.get(one.tester, one.tester) for one in prints.lone if one.file == file]
    if not alone:
        return _("No square is off by more than it can show.")
    return _("Off alone, so it is the printer and not the file: %(who)s.") % {"who": ", ".join(alone)}
