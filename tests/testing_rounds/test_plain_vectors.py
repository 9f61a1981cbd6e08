"""The reading `plain` against readings that were worked out apart from this code."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from testing_rounds.reading import read
from testing_rounds.round_file import parse

DATA = Path(__file__).parent / "data" / "readings"
PAIRS = [("example_round", "example_readings"), ("scaled_round", "scaled_readings")]
SAME = ("zone", "reading", "direction", "sizes", "level", "thin_sizes", "cleared_sizes", "counts")


def pairs() -> list:
    for round_name, readings_name in PAIRS:
        data = parse((DATA / f"{round_name}.json").read_bytes())
        given = json.loads((DATA / f"{readings_name}.json").read_text(encoding="utf-8"))
        found = [json.loads(json.dumps(one.as_dict())) for one in read(data, method="plain")]
        assert len(found) == len(given)
        yield from (pytest.param(one, other, id=other["zone"]) for one, other in zip(found, given, strict=True))


@pytest.mark.parametrize(("found", "given"), list(pairs()))
def test_a_zone_is_read_as_it_was_worked_out(found, given):
    assert {key: found[key] for key in SAME} == {key: given[key] for key in SAME}
    assert found["strength"] == pytest.approx(given["strength"], abs=1e-6)
    assert found["score"] == pytest.approx(given["score"], abs=1e-4)
    assert found["reading_strength"] == pytest.approx(given["reading_strength"], abs=1e-4)
    assert found["alternatives"] == pytest.approx(given["alternatives"], abs=1.1e-3)
    assert found["correction_cm"] == pytest.approx(given["correction_cm"], abs=0.01)
    wanted = given.get("interval_cm", {})
    assert found["interval_cm"].keys() == wanted.keys()
    for size, ends in wanted.items():
        assert found["interval_cm"][size] == pytest.approx(ends, abs=0.01)
