"""The choice of a panel as its page shows it: the best choice, the designer's own, and what the one costs beside the
other."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from measurements.translated import in_words
from testing_rounds.models import Place, PlaceState
from testing_rounds.panel_candidates import best, candidates, goals, is_seated
from testing_rounds.panel_choice import Choice
from testing_rounds.panel_goals import WEIGHTS, Candidate, Goal, lacks, points
from testing_rounds.panel_page import Panel, Row
from testing_rounds.panel_reasons import reasons, told

PANEL, RESERVE, NOT_NOW = "panel", "reserve", "no"
MARKS = {PANEL: gettext_lazy("on the panel"), RESERVE: gettext_lazy("reserve"), NOT_NOW: gettext_lazy("not now")}
CUP_WORDS = {
    -1: gettext_lazy("smaller cup"),
    0: gettext_lazy("cup as drafted"),
    1: gettext_lazy("fuller cup"),
}
FIGURE_WORDS = {
    -1: gettext_lazy("less waist for the hip"),
    0: gettext_lazy("waist to hip as drafted"),
    1: gettext_lazy("more waist for the hip"),
}
WEIGHT_WORDS = {
    Goal.SEAT: gettext_lazy("a place without a tester"),
    Goal.CUP: gettext_lazy("a kind of cup that nobody brings to a size"),
    Goal.FIGURE: gettext_lazy("a proportion of waist to hip that nobody brings to a size"),
    Goal.HEIGHT: gettext_lazy("one too few off the drafted height (one in four by 8 cm, 3 1/8 in)"),
    Goal.BEGINNER: gettext_lazy("a beginner too few (one for every three sizes)"),
    Goal.PRINT: gettext_lazy("a print too few of a file (two of each)"),
    Goal.RETURNING: gettext_lazy("one too many who tested before (a third at most)"),
}


@dataclass(frozen=True)
class Pick:
    """One person of the page: where the form marks them, where the best choice would, and why."""

    row: Row
    one: Candidate
    marked: str
    advised: str
    why: tuple[str, ...]
    number: int

    @property
    def place(self) -> Place:
        return self.row.place

    @property
    def marks(self) -> list[tuple[str, Any, bool]]:
        return [(key, word, key == self.marked) for key, word in MARKS.items()]

    @property
    def bands(self) -> list[Any]:
        words = [CUP_WORDS.get(self.one.cup), FIGURE_WORDS.get(self.one.figure)]  # type: ignore[arg-type]
        return [word for word in words if word]

    @property
    def changed(self) -> bool:
        return self.marked != self.advised


@dataclass(frozen=True)
class SizeOfChoice:
    """One size with the people who would sew it."""

    size: str
    seats: int
    reserves: int
    picks: list[Pick]

    @property
    def there(self) -> int:
        return sum(pick.marked == PANEL for pick in self.picks)


class ChoicePage:
    """The best choice of a round, and the marks that a designer made (None: as the best choice says)."""

    def __init__(self, panel: Panel, marks: Mapping[str, str] | None = None) -> None:
        self.panel, self.goals = panel, goals(panel)
        self.candidates = candidates(panel)
        self.best: Choice = best(panel)
        self.marks = {one.key: self._mark(one, marks) for one in self.candidates}

    def _mark(self, one: Candidate, marks: Mapping[str, str] | None) -> str:
        if one.seated:
            return PANEL
        said = marks.get(one.key) if marks is not None else None
        return said if said in MARKS else self._advised(one)

    def _advised(self, one: Candidate) -> str:
        if one.key in self.best.picks:
            return PANEL
        return RESERVE if one.key in self.best.reserves else NOT_NOW

    @cached_property
    def chosen(self) -> list[Candidate]:
        return [one for one in self.candidates if self.marks[one.key] == PANEL]

    @cached_property
    def best_panel(self) -> list[Candidate]:
        return [one for one in self.candidates if one.key in self.best.picks]

    @property
    def sizes(self) -> dict[str, str]:
        """{ref: size} of whoever is marked for the panel and has not been invited."""
        return {one.key: one.size for one in self.chosen if not one.seated}

    @property
    def reserves(self) -> list[str]:
        return [key for key, mark in self.marks.items() if mark == RESERVE]

    @property
    def groups(self) -> list[SizeOfChoice]:
        rows = {row.place.ref: row for row in self.panel.rows}
        by_size: dict[str, list[Pick]] = {size: [] for size in self.goals.seats}
        # In the order of the best choice, so that no row moves while marks are changed.
        for one in sorted(self.candidates, key=lambda one: (list(MARKS).index(self._advised(one)), one.key)):
            by_size[one.size].append(self._pick(rows[one.key], one))
        return [
            SizeOfChoice(size, self.goals.seats[size], self.goals.reserves[size], picks)
            for size, picks in by_size.items()
        ]

    def _pick(self, row: Row, one: Candidate) -> Pick:
        why: tuple[str, ...] = ()
        if self.marks[one.key] == PANEL:
            said = reasons(self.goals, self.chosen, self.candidates, one, self.best.lots, self.panel.papers)
            why = tuple(in_words(each) for each in said)
        return Pick(row, one, self.marks[one.key], self._advised(one), why, self.best.lots[one.key])

    def cost(self) -> dict[str, Any]:
        """What the marks lack, what of it the best choice would not lack, and the difference in points."""
        mine, ideal = lacks(self.goals, self.chosen), lacks(self.goals, self.best_panel)
        papers = self.panel.papers
        return {
            "missing": points(mine),
            "best_missing": points(ideal),
            "more": points(mine) - points(ideal),
            "lost": _in_words(told(mine - ideal, self.chosen, papers)),
            "gained": _in_words(told(ideal - mine, self.best_panel, papers)),
            "lacking": _in_words(told(mine, self.chosen, papers)),
            "changed": sum(self.marks[one.key] != self._advised(one) for one in self.candidates),
            "people": len(self.chosen),
            "seats": sum(self.goals.seats.values()),
            "kept": len(self.reserves),
            "percent": round(100 * self.best.gap, 1),
            "proven": self.best.gap == 0,
        }

    def context(self) -> dict[str, Any]:
        found = self.panel.round
        known = {one.key for one in self.candidates}
        return {
            "round": found,
            "version": found.version,
            "pattern": found.version.pattern,
            "groups": self.groups,
            "cost": self.cost(),
            "weights": [(WEIGHT_WORDS[goal], weight) for goal, weight in WEIGHTS.items()],
            "outside": [row for row in self.panel.rows if _waits(row) and row.place.ref not in known],
        }


def current_marks(panel: Panel) -> dict[str, str] | None:
    """Where everybody stands already; None while nobody was chosen or kept in reserve."""
    waiting = [row.place for row in panel.rows if not is_seated(row) and row.place.state != PlaceState.DROPPED_OUT]
    marks = {
        place.ref: RESERVE if place.state == PlaceState.RESERVE else PANEL if place.size else NOT_NOW
        for place in waiting
    }
    return marks if {PANEL, RESERVE} & set(marks.values()) else None


def choice_headline(page: ChoicePage) -> str:
    """The situation in a sentence."""
    cost = page.cost()
    if not page.candidates:
        return _("Nobody has applied whose size is known, so there is nobody to choose.")
    if not cost["lacking"]:
        return _("This panel covers all that was asked for.")
    if cost["more"] > 0:
        return _("Your choice misses %(more)s more points than the best one.") % {"more": cost["more"]}
    if cost["people"] < cost["seats"]:
        return _("%(people)s of %(seats)s places can be filled.") % {"people": cost["people"], "seats": cost["seats"]}
    return _("No choice covers more than this one.") if cost["proven"] else _("This is the best choice found.")


def _waits(row: Row) -> bool:
    return row.place.state in {PlaceState.APPLIED, PlaceState.RESERVE}


def _in_words(found: Collection[tuple[Any, int]]) -> list[tuple[str, int]]:
    return [(in_words(said), cost) for said, cost in found]
