"""The bench measures in turns and says beside each figure whether it keeps its bar."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from lib.bench_figures import NAMES, Figure, interleaved, over, table
from lib.bench_memory import peak_bytes, resident_megabytes
from lib.steps import ROOT


@pytest.mark.parametrize(("value", "bar", "verdict"), [(2.9, 3.0, "pass"), (3.0, 3.0, "pass"), (3.1, 3.0, "over")])
def test_a_figure_keeps_its_bar_or_is_over_it(value, bar, verdict):
    assert Figure("overview", value, bar=bar).verdict == verdict


def test_a_figure_without_a_bar_is_only_said():
    assert Figure("floor", 7.0, "ms").verdict == ""


def test_calls_take_turns_after_one_to_warm_up():
    asked = []
    times = interleaved({"a": lambda: asked.append("a"), "b": lambda: asked.append("b")}, rounds=3)
    assert asked == ["a", "b"] * 4
    assert set(times) == {"a", "b"}


def test_a_ratio_says_what_it_is_made_of():
    assert over("ours", "floor", {"ours": 30.0, "floor": 10.0}) == (3.0, "30.0 over 10.0 ms CPU")


def test_the_table_shows_figure_bar_and_verdict():
    lines = table(
        [Figure("overview", 2.5, bar=3.0, came="25.0 over 10.0 ms CPU"), Figure("page", 1234.4, "kB")]
    ).splitlines()
    assert lines[0].split() == ["what", "figure", "at", "most", "made", "of"]
    assert lines[1].split() == ["overview", "2.50", "x", "3.00", "x", "pass", "25.0", "over", "10.0", "ms", "CPU"]
    assert lines[2].split() == ["page", "1,234", "kB"]


def test_a_part_that_there_is_not_gets_one_line():
    done = subprocess.run(
        [sys.executable, ROOT / "bin" / "bench", "wings"], capture_output=True, text=True, check=False
    )
    assert done.returncode != 0
    assert done.stderr == f"bin/bench: there is no part wings; there are {', '.join(NAMES)}.\n"


def test_memory_is_told_by_the_system():
    assert 1e6 < resident_megabytes(os.getpid()) * 1e6 <= peak_bytes() * 1.05
