"""Was it fixed? Complaints before and after a change, compared exactly, and what it takes to call a fix confirmed.

The same testers in both versions: McNemar's exact test on those whose word changed. Other testers: Fisher's exact
test. Few reports prove little, and then that is what is said. Method and limits: docs/algorithms/fixed-or-not.md.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import comb
from typing import Literal

from measurements.sentences import Sentence, gettext_noop, sentence

# The usual bar of a test: chance alone would do as much less than once in twenty times.
PROVEN = 0.05
# Two counted reports are the least that can repeat, and the least that can confirm.
LEAST_REPORTS = 2
# Three squares that are true, of three printers, prove a file (common practice, no source).
LEAST_SQUARES = 3
# Tables as likely as the one seen, but for the last digits of a sum of fractions.
HAIR = 1e-9

_ = gettext_noop


def mcnemar(better: int, worse: int) -> float:
    """The exact two-sided p-value of testers whose word changed: `better` lost their complaint, `worse` got one.

    Published: 6:0 is .03125, 5:0 .0625, 3:0 .25. Without a change there is nothing to test: 1.
    """
    changed = better + worse
    tail = sum(comb(changed, k) for k in range(min(better, worse) + 1))
    return min(1.0, 2 * tail / 2**changed)


def fisher(before: tuple[int, int], after: tuple[int, int]) -> float:
    """The exact two-sided p-value of two groups, each (complaints, others): all tables with these sums that are no
    likelier than the one seen.

    Published: (3, 0) and (0, 3) is .1, (4, 0) and (0, 4) .028571, (8, 2) and (1, 5) .034965.
    """
    rows, complaints = (sum(before), sum(after)), before[0] + after[0]
    every = comb(sum(rows), complaints)
    likely = {
        k: comb(rows[0], k) * comb(rows[1], complaints - k) / every
        for k in range(max(0, complaints - rows[1]), min(rows[0], complaints) + 1)
    }
    return min(1.0, sum(p for p in likely.values() if p <= likely[before[0]] * (1 + HAIR)))


@dataclass(frozen=True)
class Word:
    """One counted answer on a zone: of whom, whether it complains in the direction asked about, and whether the body
    lies near the chart (None: the zone goes by no body measurement)."""

    tester: str
    complains: bool
    near: bool | None = None


@dataclass(frozen=True)
class Comparison:
    """Two versions of a pattern at one zone: [complaints, answers] before and after, by the same testers or others."""

    testers: Literal["same", "others"]
    before: tuple[int, int]
    after: tuple[int, int]
    p: float

    @property
    def better(self) -> bool:
        return self.after[0] * self.before[1] < self.before[0] * self.after[1]

    @property
    def proven(self) -> bool:
        return self.better and self.p < PROVEN

    def says(self) -> Sentence:
        """ "3 of 3 before, 0 of 3 after, by other testers: not proven (p = 0.10, Fisher's exact test)"."""
        code = "proven" if self.proven else "not_proven" if self.better else "not_better"
        template = _SAID[self.testers, code]
        places = {"k": self.before[0], "n": self.before[1], "k2": self.after[0], "n2": self.after[1]}
        return sentence(f"fix_{self.testers}_{code}", template, **places, p=p_words(self.p))


def compare(before: Iterable[Word], after: Iterable[Word]) -> tuple[Comparison, ...]:
    """Before and after: those who answered both times against themselves, the others as two groups.

    The two never share an answer. A group that is empty on either side is left out.
    """
    first, then = ({word.tester: word for word in words} for words in (before, after))
    both = [tester for tester in first if tester in then]
    found = []
    if both:
        pairs = [(first[tester].complains, then[tester].complains) for tester in both]
        p = mcnemar(pairs.count((True, False)), pairs.count((False, True)))
        found.append(Comparison("same", _share(first, both), _share(then, both), p))
    alone = [[tester for tester in one if tester not in other] for one, other in ((first, then), (then, first))]
    if all(alone):
        shares = _share(first, alone[0]), _share(then, alone[1])
        groups = [(complaints, answers - complaints) for complaints, answers in shares]
        found.append(Comparison("others", *shares, fisher(groups[0], groups[1])))
    return tuple(found)


def _share(words: Mapping[str, Word], testers: Sequence[str]) -> tuple[int, int]:
    return sum(words[tester].complains for tester in testers), len(testers)


@dataclass(frozen=True)
class LinkedZone:
    """A zone to re-check with the one that was changed: what its counted answers in the sewn sizes come to."""

    name: str
    counted: int
    complaints: int
    repeated: bool

    @property
    def quiet(self) -> bool:
        """Two or more answers count, and no complaint is repeated; a lone one is nobody's pattern."""
        return self.counted >= LEAST_REPORTS and not self.repeated


@dataclass(frozen=True)
class FixVerdict:
    """Whether a fix is confirmed, and each reason why not; `repeats` where the complaint is there again."""

    confirmed: bool
    repeats: bool
    near: int
    counted: int
    says: tuple[Sentence, ...]


def judge_fix(after: Sequence[Word], *, repeated: bool, linked: Sequence[LinkedZone]) -> FixVerdict:
    """Judge a fix by the counted answers of the version that carries it, in the sizes that were touched.

    Confirmed: two or more come from bodies near the chart, no complaint is repeated, linked zones are quiet. `repeated`
    tells that the zone's reading or one of its cells repeats the complaint; two of these answers do so themselves.
    """
    complaints = sum(word.complains for word in after)
    near = sum(word.near is not False for word in after)
    again = repeated or (complaints >= LEAST_REPORTS and 2 * complaints >= len(after))
    fits_near = sum(word.near is not False and not word.complains for word in after)
    why = tuple(_why_not(len(after), complaints, fits_near, again, linked))
    if why:
        return FixVerdict(False, again, near, len(after), why)
    said = sentence("fix_confirmed", _CONFIRMED, k=complaints, n=len(after), near=near)
    return FixVerdict(True, False, near, len(after), (said,))


def _why_not(
    counted: int, complaints: int, fits_near: int, again: bool, linked: Sequence[LinkedZone]
) -> Iterable[Sentence]:
    if not counted:
        yield sentence("fix_unsewn", _("Nobody whose report counts has sewn it since."))
        return
    if again:
        yield sentence("fix_repeats", _("It repeats: %(k)s of %(n)s complain again."), k=complaints, n=counted)
    elif fits_near < LEAST_REPORTS:
        said = _(
            "%(k)s of the %(n)s reports fits on a body near the chart; it takes two. On a body that the zone "
            "suits by itself a fit proves nothing."
        )
        yield sentence("fix_too_few", said, k=fits_near, n=counted)
    for zone in linked:
        if zone.repeated:
            said = _("The %(zone)s, which goes with it, repeats a complaint: %(k)s of %(n)s.")
            yield sentence("fix_linked_loud", said, zone=zone.name, k=zone.complaints, n=zone.counted)
        elif not zone.quiet:
            said = _("The %(zone)s, which goes with it, has fewer than two answers that count.")
            yield sentence("fix_linked_few", said, zone=zone.name)


def judge_step(noted: int, sewed: int, *, repeated: bool) -> FixVerdict:
    """Whether new words of a step are confirmed: two or more sewed it, and notes at it are repeated no more."""
    again = repeated or (noted >= LEAST_REPORTS and 2 * noted >= sewed)
    code = "step_again" if again else "step_fixed" if sewed >= LEAST_REPORTS else "step_few"
    said = sentence(code, _BESIDE[code], k=noted, n=sewed)
    return FixVerdict(code == "step_fixed", again, sewed, sewed, (said,))


def judge_file(true: int, *, faulty: bool) -> FixVerdict:
    """Whether a new file is confirmed: three or more testers read a true square of it, and none is off alike."""
    code = "file_again" if faulty else "file_fixed" if true >= LEAST_SQUARES else "file_few"
    said = sentence(code, _BESIDE[code], n=true) if code != "file_again" else sentence(code, _BESIDE[code])
    return FixVerdict(code == "file_fixed", faulty, true, true, (said,))


def p_words(p: float) -> str:
    """A p-value to two digits that tell: 0.10, 0.031, 0.0002; never 0."""
    if p >= 0.1:
        return f"{p:.2f}"
    if p < 0.0001:
        return "0.0001"
    digits = 3 if p >= 0.01 else 4
    return f"{p:.{digits}f}"


_SAID = {
    ("same", "proven"): _(
        "The same testers: %(k)s of %(n)s complained before, %(k2)s of %(n2)s do now. Chance alone would hardly do "
        "that (p = %(p)s, McNemar’s exact test)."
    ),
    ("same", "not_proven"): _(
        "The same testers: %(k)s of %(n)s complained before, %(k2)s of %(n2)s do now. So few reports do not prove it "
        "(p = %(p)s, McNemar’s exact test): not proven."
    ),
    ("same", "not_better"): _(
        "The same testers: %(k)s of %(n)s complained before, %(k2)s of %(n2)s do now: no better."
    ),
    ("others", "proven"): _(
        "Other testers: %(k)s of %(n)s complained before, %(k2)s of %(n2)s do now. Chance alone would hardly do that "
        "(p = %(p)s, Fisher’s exact test)."
    ),
    ("others", "not_proven"): _(
        "Other testers: %(k)s of %(n)s complained before, %(k2)s of %(n2)s do now. So few reports do not prove it "
        "(p = %(p)s, Fisher’s exact test): not proven."
    ),
    ("others", "not_better"): _("Other testers: %(k)s of %(n)s complained before, %(k2)s of %(n2)s do now: no better."),
}
_CONFIRMED = _(
    "Confirmed: %(k)s of %(n)s complain, %(near)s of these reports are from bodies near the chart, and the zones that "
    "go with it are quiet."
)
_BESIDE = {
    "step_fixed": _("Confirmed: %(k)s of the %(n)s who sewed the new words noted something."),
    "step_few": _("It takes two who sewed the new words; so far there are %(n)s."),
    "step_again": _("It repeats: %(k)s of the %(n)s who sewed the new words noted something."),
    "file_fixed": _("Confirmed: %(n)s testers read a true square of the new file."),
    "file_few": _("It takes three true squares of the new file; so far there are %(n)s."),
    "file_again": _("It repeats: prints of the new file are off alike."),
}
