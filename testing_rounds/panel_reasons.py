"""Why each pick was made, and what a choice lacks, in sentences. Method: docs/algorithms/panel.md."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from decimal import Decimal

from measurements.sentences import Sentence, Term, gettext_noop, sentence
from testing_rounds.coverage import OFF_HEIGHT_MM
from testing_rounds.panel_goals import BANDS, WEIGHTS, Candidate, Goal, Goals, Lacks, cost, lacks

CUPS = {
    -1: gettext_noop("The only one in size %(size)s with a smaller cup than drafted."),
    0: gettext_noop("The only one in size %(size)s with a cup near the drafted one."),
    1: gettext_noop("The only one in size %(size)s with a fuller cup than drafted."),
}
FIGURES = {
    -1: gettext_noop("The only one in size %(size)s with less waist for the hip than the chart."),
    0: gettext_noop("The only one in size %(size)s with waist and hip in the chart's proportion."),
    1: gettext_noop("The only one in size %(size)s with more waist for the hip than the chart."),
}
TALLER = gettext_noop("Is %(by)s taller than drafted for: a wrong length would show.")
SHORTER = gettext_noop("Is %(by)s shorter than drafted for: a wrong length would show.")


def reasons(
    goals: Goals,
    panel: Sequence[Candidate],
    candidates: Collection[Candidate],
    pick: Candidate,
    lots: Mapping[str, int],
    papers: Mapping[str, str],
) -> tuple[Sentence, ...]:
    """What the panel would miss without this pick; where that is nothing, how the pick was made."""
    others = [one for one in panel if one is not pick]
    lost = lacks(goals, others, len(panel)) - lacks(goals, panel)
    found = tuple(_brings(pick, lost, papers))
    return found or (_without_need(goals, panel, candidates, pick, lots),)


def _brings(pick: Candidate, lost: Lacks, papers: Mapping[str, str]) -> Iterator[Sentence]:
    for goal, _of in lost:
        if goal is Goal.CUP and pick.cup is not None:
            yield sentence("cup", CUPS[pick.cup], size=pick.size)
        elif goal is Goal.FIGURE and pick.figure is not None:
            yield sentence("figure", FIGURES[pick.figure], size=pick.size)
        elif goal is Goal.HEIGHT and pick.height_off_mm is not None:
            said = TALLER if pick.height_off_mm > 0 else SHORTER
            yield sentence("height", said, by=abs(pick.height_off_mm))
        elif goal is Goal.BEGINNER:
            yield sentence("beginner", gettext_noop("Has sewn only a few things, and reads the steps as a buyer does."))
        elif goal is Goal.PRINT:
            said = gettext_noop("One of the two prints wanted of this file: %(file)s.")
            yield sentence("print", said, file=Term(papers.get(pick.paper, pick.paper)))


def _without_need(
    goals: Goals,
    panel: Sequence[Candidate],
    candidates: Collection[Candidate],
    pick: Candidate,
    lots: Mapping[str, int],
) -> Sentence:
    """Nothing is lost without this pick but the report itself: was there a choice at all?"""
    if pick.seated:
        return sentence("seated", gettext_noop("On the panel already."))
    keys = {one.key for one in panel}
    rest = [one for one in candidates if one.size == pick.size and one.key not in keys]
    if not rest:
        return sentence("all", gettext_noop("Everybody who could sew size %(size)s is needed."), size=pick.size)
    now = cost(goals, panel)
    alike = sum(cost(goals, [other if one is pick else one for one in panel]) == now for other in rest)
    if not alike:
        said = gettext_noop("Fills a place in size %(size)s; anybody else in it would cost coverage.")
        return sentence("fits", said, size=pick.size)
    said = gettext_noop(
        "Fills a place in size %(size)s. %(alike)s more would do as well; the lot gave this one number %(number)s."
    )
    return sentence("lot", said, size=pick.size, alike=alike, number=lots[pick.key])


def told(found: Lacks, panel: Collection[Candidate], papers: Mapping[str, str]) -> list[tuple[Sentence, int]]:
    """These shortages of this panel in sentences, each with its points, the dearest first."""
    said = [(_lack(goal, of, count, panel, papers), WEIGHTS[goal] * count) for (goal, of), count in found.items()]
    return sorted(said, key=lambda one: -one[1])


def _lack(goal: Goal, of: str, count: int, panel: Collection[Candidate], papers: Mapping[str, str]) -> Sentence:
    if goal in {Goal.CUP, Goal.FIGURE}:
        there = [one for one in panel if one.size == of]
        known = {one.cup if goal is Goal.CUP else one.figure for one in there}
        absent = tuple(band for band in BANDS if band not in known)
        return sentence(goal.value, (NO_CUP if goal is Goal.CUP else NO_FIGURE)[absent], size=of)
    values: dict[str, str | int | Decimal] = {"count": count}
    if goal is Goal.SEAT:
        values["size"] = of
    elif goal is Goal.PRINT:
        values["file"] = Term(papers.get(of, of))
    elif goal is Goal.HEIGHT:
        values["by"] = OFF_HEIGHT_MM
    return sentence(goal.value, LACKING[goal], **values)


NO_CUP: Mapping[tuple[int, ...], str] = {
    (-1,): gettext_noop("Size %(size)s: nobody with a smaller cup than drafted."),
    (0,): gettext_noop("Size %(size)s: nobody with a cup near the drafted one."),
    (1,): gettext_noop("Size %(size)s: nobody with a fuller cup than drafted."),
    (-1, 0): gettext_noop("Size %(size)s: nobody with a smaller cup than drafted, or near it."),
    (-1, 1): gettext_noop("Size %(size)s: nobody with a smaller cup than drafted, or a fuller one."),
    (0, 1): gettext_noop("Size %(size)s: nobody with a cup near the drafted one, or a fuller one."),
    (-1, 0, 1): gettext_noop("Size %(size)s: nobody whose cup is known."),
}
NO_FIGURE: Mapping[tuple[int, ...], str] = {
    (-1,): gettext_noop("Size %(size)s: nobody with less waist for the hip than the chart."),
    (0,): gettext_noop("Size %(size)s: nobody with waist and hip in the chart's proportion."),
    (1,): gettext_noop("Size %(size)s: nobody with more waist for the hip than the chart."),
    (-1, 0): gettext_noop("Size %(size)s: nobody with less waist for the hip than the chart, or as the chart."),
    (-1, 1): gettext_noop("Size %(size)s: nobody with less waist for the hip than the chart, or with more."),
    (0, 1): gettext_noop("Size %(size)s: nobody with waist to hip as the chart, or with more waist."),
    (-1, 0, 1): gettext_noop("Size %(size)s: nobody whose waist and hip are known."),
}
LACKING: Mapping[Goal, str] = {
    Goal.SEAT: gettext_noop("Size %(size)s: places without a tester: %(count)s."),
    Goal.HEIGHT: gettext_noop("Too few who are %(by)s or more from the height drafted for: %(count)s more wanted."),
    Goal.BEGINNER: gettext_noop("Too few who have sewn only a few things: %(count)s more wanted."),
    Goal.PRINT: gettext_noop("Two prints tell a file from a printer. Still wanted of this file: %(file)s, %(count)s."),
    Goal.RETURNING: gettext_noop("More than a third have tested before: %(count)s too many."),
}
