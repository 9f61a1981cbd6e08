"""What a change leaves behind: the rules, and the marks of a stored version made and cleared by real acts."""

from __future__ import annotations

import re
from typing import Any

import pytest

from releases.actions import create_version, write_finished, write_steps
from releases.actions.fabric import write_materials, write_pieces
from releases.actions.sign_off import sign_size
from releases.actions.stale import clear_with_reason, note_change
from releases.cutting_list import PieceBoxes
from releases.models import FileComparison, MadeState, Version
from releases.replaced_files import compared
from releases.sign_offs import standing
from releases.stale import NAMES, SETTLES, Change, Has, Touched, made_stale, span
from releases.stale_store import open_marks
from releases.steps_text import ReadStep
from tests.factories import Cast, signed_in
from tests.house.project import ROOT
from tests.releases.things import FINISHED, cm, finished_table, make_file, pdf_bytes, run_jobs, with_finished

PAGE = (ROOT / "docs/algorithms/stale.md").read_text(encoding="utf-8")
SIZES = ("16", "18", "20")
HAS = Has(
    SIZES,
    ("waist", "hip", "back_length", "opening"),
    files=True,
    pieces=True,
    steps=((8, "Press."), (9, "Sew the waist seam.")),
)
WIDER = FINISHED.replace("74\t78\t82", "74\t78\t84")


def test_the_worked_example():
    example = PAGE[PAGE.index("## Worked example") :]
    rows = re.findall(r"^\| (\w+) \| (\d+) \| (.+) \|$", example, re.MULTILINE)
    change = Change("finished", (Touched("waist", "Waist", ("18",)),))
    assert [(mark.what, ", ".join(mark.sizes), str(mark.why)) for mark in made_stale(change, HAS)] == rows
    assert change.unsigns == ("18",)


@pytest.mark.parametrize(
    ("change", "has", "whats"),
    [
        (Change("finished", (Touched("waist", "Waist", ("18",)),)), Has(SIZES, ("waist",)), ["tables"]),
        (Change("steps", (Touched("9", "step 9"),)), Has(SIZES, booklet=True), ["text"]),
        (Change("steps", (Touched("9", "step 9"),)), Has(SIZES), []),
        (Change("pieces", (Touched("Front", "Front", ("18",)),)), HAS, ["fabric"]),
        (Change("materials", (Touched("Poplin", "Poplin"),)), HAS, ["fabric"]),
        (Change("notions", (Touched("zip", "zip"),)), Has(SIZES, booklet=True), ["text"]),
        (Change("chart", (Touched("bust", "Bust", ("16",)),)), Has(SIZES, booklet=True), ["tables", "text"]),
    ],
)
def test_only_what_is_there_is_left_behind(change: Change, has: Has, whats: list[str]):
    assert [mark.what for mark in made_stale(change, has)] == whats


def test_linked_rows_changed_together_need_no_second_look():
    both = Change("finished", (Touched("waist", "Waist", ("18",)), Touched("hip", "Hip", SIZES)))
    said = [str(mark.why) for mark in made_stale(both, Has(SIZES, ("waist", "hip"))) if mark.what == "zones"]
    assert said == ["The waist goes with the hip, which changed in 16–20."]


def test_words_and_cloth_unsign_nothing():
    for kind in ("steps", "materials", "notions"):
        assert Change(kind, (Touched("x", "x", SIZES),)).unsigns == ()  # type: ignore[arg-type]


def test_sizes_in_few_words():
    assert [span(some, SIZES) for some in (("18",), ("20", "16", "18"), ("16", "20"), ())] == [
        "18",
        "16–20",
        "16, 20",
        "",
    ]


def test_every_mark_has_a_name_and_a_deed():
    everything = Has(SIZES, HAS.measures, files=True, booklet=True, pieces=True, lining=True, steps=HAS.steps)
    kinds = ("finished", "chart", "steps", "materials", "pieces", "notions", "file")
    touched = (Touched("waist", "Waist", ("18",)),)
    marks = [mark for kind in kinds for mark in made_stale(Change(kind, touched), everything)]  # type: ignore[arg-type]
    assert {mark.what for mark in marks} == set(NAMES)
    assert {mark.why.code for mark in marks} == set(SETTLES)


# stored versions


def marks(version: Version) -> dict[str, list[str]]:
    return {line.mark.what: line.mark.sizes for line in open_marks(version)}


def state(version: Version) -> dict[str, str]:
    return {size: row.state for size, row in standing(version).items()}


def sign(cast: Cast, version: Version, *sizes: str) -> None:
    for size in sizes or version.sizes:
        sign_size(version=version, size=size, state="signed", note="", saw={}, met=True, by=cast.reviewer)


def cut(version: Version, by: Any, length: str = "60") -> None:
    cloth = {"name": "Poplin", "kind": "shell", "widths": [cm("140")], "nap": False, "shrinkage": 0}
    write_materials(version=version, materials=[{**cloth, "selvedge": cm("3"), "repeat": None, "gap": None}], by=by)
    boxes = tuple((cm(length if size == "14" else "60"), cm("30")) for size in version.sizes)
    piece = PieceBoxes("Front", "Poplin", 2, "pair", "length", boxes)
    write_pieces(version=version, pieces=[piece], sizes=version.sizes, by=by)


def test_first_numbers_leave_nothing_behind(cast: Cast, version: Version):
    with_finished(version, cast.owner)
    cut(version, cast.owner)
    write_steps(version=version, steps=[ReadStep(1, "Sew the waist.")], by=cast.owner)
    assert marks(version) == {}


def test_a_changed_number_marks_its_size_and_lapses_it_alone(
    cast: Cast, version: Version, django_capture_on_commit_callbacks: Any
):
    with_finished(version, cast.owner)
    cut(version, cast.owner)
    make_file(version, cast.owner)
    sign(cast, version)
    with_finished(version, cast.designer, WIDER)
    assert marks(version) == {"pages": ["14"], "fabric": ["14"], "tables": ["14"]}
    assert state(version) == {"10": "signed", "12": "signed", "14": "lapsed"}
    assert "Waist" in standing(version)["14"].note

    make_file(version, cast.owner, pdf_bytes((500, 700)), replaces=version.current_files().get())
    assert "pages" not in marks(version)
    with django_capture_on_commit_callbacks(execute=True):
        cut(version, cast.owner, "62")
    assert marks(version)["fabric"] == ["14"]  # the layouts of the new boxes are still to be made
    assert state(version)["10"] == "signed"
    run_jobs()
    assert "fabric" not in marks(version)
    # The files were compared meanwhile: without layers a changed page is everybody's.
    assert state(version)["10"] == "lapsed"


def test_a_mark_is_cleared_by_a_stated_reason(cast: Cast, version: Version):
    with_finished(version, cast.owner)
    with_finished(version, cast.owner, WIDER)
    mark = version.stale_marks.get(what="tables")
    address = f"/stale/{mark.ref}/clear/"
    empty = signed_in(cast.designer).post(address, {"reason": " "})
    assert empty.status_code == 422
    assert "Say why in a few words." in empty.content.decode()
    assert signed_in(cast.designer).post(address, {"reason": "No tables were printed yet"}).status_code == 302
    mark.refresh_from_db()
    assert (mark.cleared, mark.reason, mark.cleared_by) == ("reason", "No tables were printed yet", cast.designer)
    assert open_marks(version) == []
    clear_with_reason(mark=mark, reason="again", by=cast.owner)
    mark.refresh_from_db()
    assert mark.reason == "No tables were printed yet"


def test_a_next_version_keeps_the_signatures_of_sizes_that_stay(cast: Cast, version: Version):
    with_finished(version, cast.owner)
    sign(cast, version, "10", "14")
    fields = {"number": "0.10", "sizes": version.sizes, "base_size": "12", "what_changed": "", "test_square": cm("10")}
    made = create_version(
        pattern=version.pattern,
        body_chart=version.body_chart,
        fields={**fields, "copy_finished": True, "copy_steps": True},
        copied=version,
        by=cast.designer,
    )
    assert state(made) == {"10": "signed", "14": "signed"}
    assert standing(made)["10"].saw["carried"]["version"] == "0.9"
    write_finished(version=made, table=finished_table(WIDER), unit="cm", by=cast.designer)
    assert state(made) == {"10": "signed", "14": "lapsed"}
    assert state(version) == {"10": "signed", "14": "signed"}


@pytest.mark.parametrize(("layers", "moved", "lapsed"), [(["14"], None, ["14"]), ([""], None, None), (["14"], 1, None)])
def test_a_replaced_file_lapses_the_sizes_that_print_a_changed_page(
    cast: Cast, version: Version, layers: list[str], moved: int | None, lapsed: list[str] | None
):
    """`lapsed` None: all of them."""
    old = make_file(version, cast.owner)
    sign(cast, version)
    new = make_file(version, cast.owner, pdf_bytes((500, 700)), replaces=old)
    assert list(marks(version)) == ["files"]
    made = FileComparison.objects.get(old_digest=old.digest, new_digest=new.digest)
    FileComparison.objects.filter(pk=made.pk).update(state=MadeState.READY, result=_result(layers, moved))
    for _twice in range(2):
        compared(FileComparison.objects.get(pk=made.pk))
    assert [size for size, is_now in state(version).items() if is_now == "lapsed"] == (lapsed or version.sizes)
    assert marks(version) == {}
    assert version.sign_offs.filter(state="lapsed").count() == len(lapsed or version.sizes)


def _result(layers: list[str], moved: int | None) -> dict[str, Any]:
    from releases.pdf.compare import METHOD, Comparison, Reprint

    found = Comparison((), (), (), (float(moved), 0.0) if moved else None, (Reprint(1, tuple(layers)),))
    return {"method": METHOD, **found.as_dict()}


def test_what_other_apps_keep_is_marked_too(cast: Cast, version: Version):
    add = {"name": "booklet.pdf", "kind": "booklet"}
    make_file(version, cast.owner, **add)
    note_change(version=version, change=Change("notions", (Touched("zip", "the zip"),)), by=cast.owner)
    assert [line.why for line in open_marks(version)] == [("The booklet still has the zip as it was.",)]
    make_file(version, cast.owner, pdf_bytes((500, 700)), **add)
    assert open_marks(version) == []
