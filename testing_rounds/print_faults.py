"""Is it the file, or a printer? What the test squares of one file say together.

Three or more testers whose prints are off alike, within half a per cent, printed a faulty file; one alone has a
printer to set. Method and limits: docs/algorithms/fixed-or-not.md.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from measurements.sentences import Sentence, gettext_noop, sentence
from testing_rounds.set_aside import HAIR, print_limit

# Common practice, no source: three printers that miss by the same amount share what they printed.
LEAST_ALIKE, ALIKE = 3, 0.005

_ = gettext_noop


@dataclass(frozen=True)
class SquareRead:
    """One reading of a test square, in cm: of whom, from which file, in their order. `size` is the size cut."""

    tester: str
    file: str
    read: float
    size: str = ""


@dataclass(frozen=True)
class OnePrinter:
    """A tester whose print alone is off."""

    tester: str
    file: str
    error: float


@dataclass(frozen=True)
class FileFault:
    """A file whose prints are off alike. Errors are shares; `of` all testers who read a square of the file first.

    `right_since` are those of the alike who later read a print of the same file that holds, `still` those who did not.
    """

    file: str
    alike: tuple[str, ...]
    of: int
    least: float
    most: float
    right_since: tuple[str, ...]
    still: tuple[str, ...]

    @property
    def direction(self) -> int:
        return -1 if self.least + self.most < 0 else 1

    @property
    def mended(self) -> bool:
        """Three or more have read a print that holds since: what is printed now is true to size."""
        return len(self.right_since) >= LEAST_ALIKE

    def says(self) -> Sentence:
        """ "10 of 10 first prints are 2.5 to 3.0 % small, alike within 0.5 %: it is the file, not the printers"."""
        template = _SMALL if self.direction < 0 else _LARGE
        ends = sorted(abs(error) * 100 for error in (self.least, self.most))
        least, most = (f"{end:.1f}" for end in ends)
        return sentence("file_fault", template, k=len(self.alike), n=self.of, least=least, most=most)


@dataclass(frozen=True)
class Prints:
    """What all squares of a round say."""

    faults: tuple[FileFault, ...]
    lone: tuple[OnePrinter, ...]


def read_prints(squares: Iterable[SquareRead], nominal: float) -> Prints:
    """Tell faulty files from lone printers. `nominal` is the drawn length of the square, cm."""
    by_file: dict[str, dict[str, list[float]]] = {}
    for one in squares:
        by_file.setdefault(one.file, {}).setdefault(one.tester, []).append(one.read / nominal - 1)
    limit = print_limit(nominal)
    faults, lone = [], []
    for file, read in by_file.items():
        first = {tester: errors[0] for tester, errors in read.items()}
        off = sorted((error, tester) for tester, error in first.items() if abs(error) > limit + HAIR)
        alike = _alike(off)
        if file and len(alike) >= LEAST_ALIKE:
            faults.append(_fault(file, alike, read, limit))
        else:
            alike = []
        named = {tester for _error, tester in alike}
        lone += [OnePrinter(tester, file, error) for error, tester in off if tester not in named]
    return Prints(tuple(faults), tuple(lone))


def _alike(off: Sequence[tuple[float, str]]) -> list[tuple[float, str]]:
    """The most testers whose errors, in order of size, lie within half a per cent of each other."""
    best: list[tuple[float, str]] = []
    for start, (error, _tester) in enumerate(off):
        group = [one for one in off[start:] if one[0] - error <= ALIKE + HAIR]
        if len(group) > len(best):
            best = group
    return best


def _fault(file: str, alike: Sequence[tuple[float, str]], read: dict[str, list[float]], limit: float) -> FileFault:
    right = tuple(tester for _error, tester in alike if any(abs(e) <= limit + HAIR for e in read[tester][1:]))
    return FileFault(
        file=file,
        alike=tuple(tester for _error, tester in alike),
        of=len(read),
        least=alike[0][0],
        most=alike[-1][0],
        right_since=right,
        still=tuple(tester for _error, tester in alike if tester not in right),
    )


_SMALL = _(
    "%(k)s of %(n)s first prints are %(least)s to %(most)s %% small, alike within 0.5 %%: it is the file, not the "
    "printers."
)
_LARGE = _(
    "%(k)s of %(n)s first prints are %(least)s to %(most)s %% large, alike within 0.5 %%: it is the file, not the "
    "printers."
)
