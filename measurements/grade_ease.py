"""The grade judged on ease per size: slips, jumps, breaks, drift, and the ease that was meant.

Ease is even in an honest grade, whatever the steps do: a declared break moves body and garment together.
"""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median

from measurements.grade_pairs import Pair
from measurements.grade_rows import Row, Rows, mm
from measurements.grade_series import TINY, Slip, calmed, level_jumps, level_slips, level_twins, mean_step, turns
from measurements.grade_types import Evidence, Finding, GradeFacts
from measurements.sentences import Sentence, Term, gettext_noop, sentence

# Base to end: the ease may drift by a centimetre, and by a quarter of itself (common practice, no source).
DRIFT_CM = 1.0
DRIFT_SHARE = 0.25
# Ease is rounded twice, in body and garment: where it moves, its mean step may be off by more than one rounding.
UNEQUAL = 1.5
EASE, BODY, GARMENT = Term(gettext_noop("Ease")), Term(gettext_noop("Body")), Term(gettext_noop("Garment"))


def ease_findings(body: Rows, finished: Rows, pair: Pair, facts: GradeFacts) -> Iterator[Finding]:
    """Everything that the ease of one measurement says."""
    judged = _Judged(body, finished, pair, facts)
    yield from judged.jumps()
    yield from judged.slips()
    yield from judged.jumps()
    yield from judged.breaks()
    yield from judged.drift()


class _Judged:
    """One measurement being judged; what was found is taken out before the next question is asked."""

    def __init__(self, body: Rows, finished: Rows, pair: Pair, facts: GradeFacts) -> None:
        self.body, self.finished, self.pair, self.facts = body, finished, pair, facts
        self.x, self.q = pair.x, pair.q
        self.ease, self.garment, self.body_cm = list(pair.ease), list(pair.garment), list(pair.body_cm)
        self.off: set[int] = set()
        # The sizes that a missing or undeclared break has carried away.
        self.carried: tuple[int, ...] = ()
        self.declared = {finished.place(size) for size in (*pair.row.breaks, *pair.body.breaks)}
        body_turns = {pair.x[at] for at in turns(pair.x, pair.body_cm, body.q, least=1)}
        # A break that the garment alone has on purpose; where the body turns too, the ease stays even.
        self.own = {finished.place(size) for size in pair.row.breaks} - body_turns

    def size(self, at: int) -> str:
        return self.finished.sizes[self.x[at]]

    def evidence(self) -> tuple[Evidence, ...]:
        lines: list[Evidence] = []
        for what, values in ((EASE, self.pair.ease), (GARMENT, self.pair.garment), (BODY, self.pair.body_cm)):
            lines.append(Evidence(what, tuple((self.size(i), mm(value)) for i, value in enumerate(values))))
        return tuple(lines)

    def finding(
        self, kind: str, ats: list[int], says: Sentence, lengths: dict[int, float], declare: tuple[str, ...] = ()
    ) -> Finding:
        proposed = tuple((self.size(at), self.finished.proposal(cm)) for at, cm in sorted(lengths.items()))
        sizes = tuple(self.size(at) for at in ats)
        return Finding(kind, self.pair.row.key, "finished", sizes, says, proposed, self.evidence(), declare)  # type: ignore[arg-type]

    # -- one wrong size ---------------------------------------------------------------------------------------------

    def slips(self) -> Iterator[Finding]:
        # The widest first: beside a wide slip a row looks uneven, and a smaller one hides.
        while found := self._off():
            slip = max(found, key=lambda one: abs(one.off))
            side = self._side(slip.at, slip.off)
            self.off.add(slip.at)
            yield (
                self._body_slip(slip.at, slip.should, slip.off)
                if side == "body"
                else self._slip(slip.at, slip.should, slip.off)
            )
            if side == "body":
                self.body_cm[slip.at] += slip.off
            else:
                self.garment[slip.at] -= slip.off
            self.ease[slip.at] = slip.should

    def _off(self) -> list[Slip]:
        slips = level_slips(self.x, self.ease, self.q) or level_twins(self.ease, self.q)
        return [slip for slip in slips if slip.at not in self.off]

    def _side(self, at: int, off: float) -> str:
        """Which chart is wrong there: the one whose own steps calm down more when it gives way. In doubt the garment's.

        An end of the body where other girths change their step too is a break that the garment lacks.
        """
        garment, body_cm = calmed(self.x, self.pair.garment, at, -off), calmed(self.x, self.pair.body_cm, at, off)
        if body_cm <= max(garment, 0.0) + self.q + TINY:
            return "garment"
        if at in {0, len(self.x) - 1}:
            return "garment" if self.x[max(at, 1)] in self.declared or self._shared_end(at) else "body"
        return "body"

    def _shared_end(self, at: int) -> bool:
        """Whether the body's girths change their step at this end together."""
        if not self.pair.body.round:
            return False
        a, b = (1, 2) if at == 0 else (at - 1, at - 2)
        places = [self.body.place(self.size(i)) for i in (at, a, b)]

        def change(row: Row) -> float:
            end, near, inner = (row.cm[place] if place is not None else None for place in places)
            return 0.0 if end is None or near is None or inner is None else end - 2 * near + inner

        own = change(self.pair.body)
        others = [change(row) for row in self.body if row.round and row.key != self.pair.body.key]
        return any(other * own > 0 and abs(other) > self.q + TINY for other in others)

    def _slip(self, at: int, should: float, off: float) -> Finding:
        big = gettext_noop(
            "%(size)s: %(measure)s of the garment is %(off)s too large: its ease is %(is)s, its neighbours' %(should)s."
        )
        small = gettext_noop(
            "%(size)s: %(measure)s of the garment is %(off)s too small: its ease is %(is)s, its neighbours' %(should)s."
        )
        says = sentence(
            "slip", big if off > 0 else small,
            size=self.size(at), measure=self.pair.row.name, off=mm(abs(off)), should=mm(should),
            **{"is": mm(self.ease[at])},
        )  # fmt: skip
        return self.finding("slip", [at], says, {at: self.pair.body_cm[at] + should})

    def _body_slip(self, at: int, should: float, off: float) -> Finding:
        said = gettext_noop(
            "%(size)s: %(measure)s of the body chart is %(off)s off: its own steps jump there, and so does the ease,"
            " %(is)s beside %(should)s."
        )
        says = sentence(
            "body_slip", said, size=self.size(at), measure=self.pair.body.name, off=mm(abs(off)), should=mm(should),
            **{"is": mm(self.ease[at])},
        )  # fmt: skip
        proposed = ((self.size(at), self.body.proposal(self.pair.garment[at] - should)),)
        return Finding("slip", self.pair.body.key, "body", (self.size(at),), says, proposed, self.evidence())

    # -- from one size on -------------------------------------------------------------------------------------------

    def jumps(self) -> Iterator[Finding]:
        level = list(self.ease)
        found = level_jumps(self.x, level, self.q)
        for n, jump in enumerate(found):
            if self.x[jump.at] in self.own:
                continue
            back = found[n + 1] if n + 1 < len(found) else None
            until = back.at if back and abs(back.off + jump.off) <= self.q + TINY else len(self.x)
            if n and self.x[jump.at] not in self.own and abs(found[n - 1].off + jump.off) <= self.q + TINY:
                continue
            ats = list(range(jump.at, until))
            yield self._jump(ats, jump.off, level)
            for at in ats:
                self.off.add(at)
                self.garment[at] -= jump.off
                self.ease[at] -= jump.off

    def _jump(self, ats: list[int], off: float, level: list[float]) -> Finding:
        said = gettext_noop(
            "%(measure)s of the garment is off from %(size)s on: the ease goes from %(before)s to %(after)s there and"
            " stays, while no break is declared."
        )
        some = gettext_noop(
            "%(sizes)s: %(measure)s of the garment is off by %(off)s: the ease is %(after)s, beside it %(before)s."
        )
        first = ats[0]
        says = sentence(
            "jump", said if ats[-1] == len(self.x) - 1 else some, size=self.size(first), measure=self.pair.row.name,
            before=mm(level[first - 1]), after=mm(level[first]), off=mm(abs(off)),
            sizes=", ".join(self.size(at) for at in ats),
        )  # fmt: skip
        return self.finding("slip", ats, says, {at: self.garment[at] - off for at in ats})

    # -- breaks -----------------------------------------------------------------------------------------------------

    def breaks(self) -> Iterator[Finding]:
        """Where body and garment change their step differently: missing in one, undeclared in the other."""
        edges = turns(self.x, self.ease, UNEQUAL * self.q, least=1)
        missing: list[tuple[int, float, float]] = []
        added: list[tuple[int, float, float]] = []
        for n, at in enumerate(edges):
            first = edges[n - 1] - 1 if n else 0
            last = edges[n + 1] - 1 if n + 1 < len(edges) else len(self.x) - 1
            ease, body, garment = (
                self._turn(values, first, at - 1, last) for values in (self.ease, self.body_cm, self.garment)
            )
            if abs(ease) * (self.x[-1] - self.x[at - 1]) <= self.q + TINY:
                continue
            (missing if abs(body) > abs(garment) else added).append((at, body, garment))
        if missing:
            yield self._missing([*self._earlier(missing[0][0]), *missing])
        elif added := [one for one in added if self.x[one[0]] not in self.own]:
            yield self._added(added)

    def _earlier(self, at: int) -> list[tuple[int, float, float]]:
        """Declared breaks of the body before that place that the garment does not follow, hidden by rounding so far."""
        found: list[tuple[int, float, float]] = []
        marks = [i for i, place in enumerate(self.x) if place in self.declared and 1 < i < at]
        for n, mark in enumerate(marks):
            first, last = marks[n - 1] - 1 if n else 0, (marks[n + 1] if n + 1 < len(marks) else at) - 1
            body, garment = (self._turn(values, first, mark - 1, last) for values in (self.body_cm, self.garment))
            if found or (abs(body) > 2 * abs(garment) + TINY and abs(self.ease[at - 1] - self.ease[mark - 1]) > TINY):
                found.append((mark, body, garment))
        return found

    def _turn(self, values: list[float], first: int, middle: int, last: int) -> float:
        return mean_step(self.x, values, middle, last) - mean_step(self.x, values, first, middle)

    def _mended(self, at: int) -> tuple[list[int], dict[int, float]]:
        """The sizes on the side where the ease runs away, and the lengths that would keep it."""
        last = len(self.x) - 1
        before, after = mean_step(self.x, self.ease, 0, at - 1), mean_step(self.x, self.ease, at - 1, last)
        level, end, near = (self.ease[at - 1], 0, at - 2) if abs(before) > abs(after) else (self.ease[at - 1], last, at)
        even = self.ease[at - 1 :] if end == 0 else self.ease[:at]
        level = median(even) if max(even) - min(even) <= self.q + TINY else level
        run = _run([i for i in range(last + 1) if abs(self.ease[i] - level) > self.q + TINY], end)
        ats = sorted({*run, *range(min(near, end), max(near, end) + 1)})
        return ats, {i: self.body_cm[i] + level for i in ats}

    def _missing(self, found: list[tuple[int, float, float]]) -> Finding:
        said = gettext_noop(
            "%(measure)s has no break at %(sizes)s: the body's step changes by %(body)s at %(first)s, the garment's by"
            " %(garment)s. The ease goes from %(before)s to %(after)s."
        )
        return self._broken(said, "missing", found)

    def _added(self, found: list[tuple[int, float, float]]) -> Finding:
        said = gettext_noop(
            "%(measure)s has a break at %(sizes)s that is not declared: the garment's step changes by %(garment)s at"
            " %(first)s, the body's by %(body)s. The ease goes from %(before)s to %(after)s."
        )
        return self._broken(said, "undeclared", found)

    def _broken(self, said: str, code: str, found: list[tuple[int, float, float]]) -> Finding:
        at, body, garment = found[0]
        ats, lengths = self._mended(at)
        self.carried = tuple(ats)
        places = [self.size(one[0]) for one in found]
        end = ats[-1] if ats and ats[0] >= at else 0
        says = sentence(
            code, said, measure=self.pair.row.name, sizes=_listed(places), first=places[0], body=mm(body),
            garment=mm(garment), before=mm(self.ease[at - 1]), after=mm(self.ease[end]),
        )  # fmt: skip
        return self.finding("break", ats, says, lengths, tuple(places) if code == "undeclared" else ())

    # -- drift, and the ease that was meant -------------------------------------------------------------------------

    def drift(self) -> Iterator[Finding]:
        meant = _declared(self.finished, self.pair.row, self.facts)
        if meant:
            yield from self._meant(*meant)
            return
        base = self._base()
        if base in self.carried and len(self.carried) < len(self.x):
            base = self.carried[0] - 1 if self.carried[0] else self.carried[-1] + 1
        for end in (0, len(self.x) - 1):
            away = [at for at in _from(end, base) if abs(self._away(at, base)) > self.q + TINY]
            off = self._away(end, base)
            limit = abs(off) > DRIFT_CM + TINY or abs(off) > DRIFT_SHARE * abs(self.ease[base]) + TINY
            if abs(off) > self.q + TINY and limit:
                run = _run(away, end)
                yield self._drift(sorted(run), end, base)

    def _base(self) -> int:
        place = self.finished.place(self.facts.base or self.finished.base or self.body.base)
        if place in self.x:
            return self.x.index(place)
        # No base is said: a size of the level that most sizes share, as near to the middle as can be.
        shared = [sum(abs(one - other) <= self.q + TINY for other in self.ease) for one in self.ease]
        return max(range(len(shared)), key=lambda at: (shared[at], -abs(at - len(shared) // 2)))

    def _away(self, at: int, base: int) -> float:
        """How far the ease of a size is from the base's; of a knit, also from the same share of the body."""
        level = self.ease[base]
        away = [self.ease[at] - level]
        if self.facts.knit and self.body_cm[base]:
            away.append(self.ease[at] - level * self.body_cm[at] / self.body_cm[base])
        return min(away, key=abs)

    def _drift(self, ats: list[int], end: int, base: int) -> Finding:
        falls = gettext_noop("%(measure)s: the ease falls from %(from)s to %(to)s, %(first)s to %(last)s.")
        rises = gettext_noop("%(measure)s: the ease grows from %(from)s to %(to)s, %(first)s to %(last)s.")
        start = ats[0] - 1 if end else ats[-1] + 1
        says = sentence(
            "drift", falls if self._away(end, base) < 0 else rises, measure=self.pair.row.name,
            to=mm(self.ease[end]), first=self.size(start), last=self.size(end), **{"from": mm(self.ease[start])},
        )  # fmt: skip
        lengths = {at: self.body_cm[at] + self.ease[at] - self._away(at, base) for at in ats}
        return self.finding("ease", ats, says, lengths)

    def _meant(self, cm: float, tolerance: float) -> Iterator[Finding]:
        ease = self.ease
        ats = [at for at in range(len(self.x)) if at not in self.off and abs(ease[at] - cm) > tolerance + TINY]
        if not ats:
            return
        low, high = min(ease[at] for at in ats), max(ease[at] for at in ats)
        one = gettext_noop(
            "%(measure)s: the ease is %(low)s at %(sizes)s, %(meant)s is meant, give or take %(around)s."
        )
        many = gettext_noop(
            "%(measure)s: the ease is %(low)s to %(high)s at %(sizes)s, %(meant)s is meant, give or take %(around)s."
        )
        sizes = tuple(self.size(at) for at in ats)
        says = sentence(
            "meant", one if high - low < TINY else many, measure=self.pair.row.name, low=mm(low), high=mm(high),
            sizes=_stretch(sizes), meant=mm(cm), around=mm(tolerance),
        )  # fmt: skip
        yield self.finding("ease", ats, says, {at: self.body_cm[at] + cm for at in ats})


def _declared(finished: Rows, row: Row, facts: GradeFacts) -> tuple[float, float] | None:
    return next((meant for name, meant in facts.ease.items() if finished.called(name) is row), None)


def _from(end: int, base: int) -> range:
    return range(base) if end == 0 else range(base + 1, end + 1)


def _run(away: list[int], end: int) -> list[int]:
    """The unbroken run of places that reaches the end."""
    step, at, run = (1 if end == 0 else -1), end, []
    while at in away:
        run.append(at)
        at += step
    return run


def _listed(words: list[str]) -> str:
    return ", ".join(words)


def _stretch(sizes: tuple[str, ...]) -> str:
    """Sizes in words: a long run is told by its ends."""
    return ", ".join(sizes) if len(sizes) < 5 else f"{sizes[0]} – {sizes[-1]}"
