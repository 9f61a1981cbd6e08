"""The dress form: every zone on its views, shared seams without gaps, safe markup, names that do not collide."""

from __future__ import annotations

import re
from itertools import pairwise, product
from xml.etree import ElementTree

import pytest
from defusedxml.ElementTree import fromstring
from django.template import Context, Template

from testing_rounds.drawings import ZoneMark, dress_form, is_fuller, zones_on
from testing_rounds.drawings.curves import Point, Seam, joined, seam, split
from testing_rounds.drawings.cut import cut
from testing_rounds.drawings.labels import HIT_HEIGHT, spread
from testing_rounds.drawings.lettering import text_width
from testing_rounds.drawings.outline import other_side
from testing_rounds.zones import CATALOGUE, KINDS, default_zones, zones_for

VIEWS = ("front", "back")
ALL = list(product(KINDS, VIEWS, (False, True)))
MARKS = {
    "waist": ZoneMark("small", 3, "much too tight"),
    "hip": ZoneMark("large", 1, "a bit loose"),
    "length": ZoneMark("small", 2, "a bit short"),
    "armhole": ZoneMark("large", 2, "a bit low"),
}


def form(kind: str, view: str, **given: object) -> str:
    given = {"prefix": "f", "href": "#zone-{zone}", "states": MARKS, "selected": "waist", **given}
    named = " ".join(f"{name}={name}" for name in given)
    source = "{% load drawings %}{% dress_form kind=kind view=view " + named + " %}"
    return Template(source).render(Context({"kind": kind, "view": view, **given}))


def parsed(svg: str) -> ElementTree.Element:
    return fromstring(svg)


def zones_in(svg: str) -> list[str]:
    return re.findall(r'data-zone="(\w+)"', svg)


@pytest.mark.parametrize(("kind", "view", "fuller"), ALL)
def test_a_view_shows_each_of_its_zones_once(kind, view, fuller):
    wanted = [zone.key for zone in zones_for(kind) if zone.side in (view, "both")]
    assert sorted(zones_in(form(kind, view, fuller=fuller))) == sorted(wanted)


def test_the_whole_catalogue_can_be_drawn():
    drawn = {key for kind in KINDS for view in VIEWS for key in zones_on(kind, view)}
    assert drawn == set(CATALOGUE)
    assert len(drawn) == 19


def test_only_what_a_round_asks_can_be_tapped():
    assert set(zones_in(form("shirt", "front", zones=["waist", "length"]))) == {"waist", "length"}


def test_a_bodice_without_sleeve_zones_is_drawn_without_sleeves():
    asked = frozenset(zone.key for zone in default_zones("bodice"))
    assert not cut("bodice", "front", asked=asked).sleeved
    assert cut("bodice", "front").sleeved


@pytest.mark.parametrize(("kind", "view", "fuller"), ALL)
def test_zones_are_closed_and_left_mirrors_right(kind, view, fuller):
    for area in cut(kind, view, fuller=fuller).areas:
        for loop in area.loops:
            assert loop[0] == pytest.approx(loop[-1]), area.key
        left = sorted(round(x, 6) for loop in area.loops for x, _ in loop)
        right = sorted(round(x, 6) for loop in area.loops for x, _ in other_side(loop))
        assert left == pytest.approx(right), area.key


def segments(loop: Seam) -> set[tuple[Point, ...]]:
    """The cubic segments of a loop, whichever way they are walked."""
    pieces = [tuple((round(x, 4), round(y, 4)) for x, y in loop[i : i + 4]) for i in range(0, len(loop) - 1, 3)]
    return {min(piece, piece[::-1]) for piece in pieces}


NEIGHBOURS = [
    ("dress", "front", "bust", "front_length"),
    ("dress", "front", "front_length", "waist"),
    ("dress", "front", "waist", "high_hip"),
    ("dress", "front", "high_hip", "hip"),
    ("dress", "front", "neck", "strap"),
    ("dress", "front", "strap", "shoulder"),
    ("shirt", "front", "neck", "shoulder"),
    ("dress", "front", "shoulder", "armhole"),
    ("dress", "front", "shoulder", "shoulder_line"),
    ("dress", "front", "armhole", "cap"),
    ("dress", "front", "cap", "upper_arm"),
    ("dress", "front", "upper_arm", "sleeve_length"),
    ("dress", "back", "across_back", "back_length"),
    ("dress", "back", "across_back", "armhole"),
    ("dress", "back", "waist", "hip"),
    ("jacket", "front", "hip", "length"),
    ("trousers", "front", "hip", "rise"),
    ("trousers", "back", "rise", "thigh"),
]


@pytest.mark.parametrize("fuller", [False, True])
@pytest.mark.parametrize(("kind", "view", "one", "other"), NEIGHBOURS)
def test_neighbours_share_the_very_same_seam(kind, view, one, other, fuller):
    loops = {area.key: area.loops for area in cut(kind, view, fuller=fuller).areas}
    shared = [set.union(*map(segments, loops[key])) for key in (one, other)]
    assert shared[0] & shared[1]


@pytest.mark.parametrize(("kind", "view", "fuller"), ALL)
def test_markup_is_valid_and_keeps_to_the_content_policy(kind, view, fuller):
    svg = form(kind, view, fuller=fuller, paper=True)
    root = parsed(svg)
    assert root[0].tag.endswith("title")
    assert not re.search(r"\sstyle=|<style|<script|\son\w+=", svg)


def test_two_forms_on_one_page_have_no_id_in_common():
    page = form("shirt", "front", prefix="a") + form("shirt", "back", prefix="b")
    ids = re.findall(r'\sid="([^"]+)"', page)
    assert ids
    assert len(ids) == len(set(ids))
    assert set(re.findall(r"url\(#([^)]+)\)", page)) <= set(ids)


def test_every_name_is_a_link_and_the_drawn_zone_no_second_tab_stop():
    root = parsed(form("dress", "front"))
    names = root.findall('.//a[@class="dform-name"]')
    assert {name.get("href") for name in names} == {f"#zone-{key}" for key in zones_on("dress", "front")}
    assert all(zone.get("tabindex") == "-1" for zone in root.findall('.//a[@class="dform-zone"]'))
    assert [name.get("data-label") for name in names if name.get("aria-current")] == ["waist"]


def test_without_an_address_the_form_is_a_picture():
    svg = form("dress", "back", href="", labels="none")
    assert "<a " not in svg
    assert 'role="img"' in svg
    assert parsed(svg)[0].text == "Dress form, back"


def test_only_marked_zones_are_named_beside_a_summary():
    svg = form("dress", "front", labels="marked", side="left", href="")
    texts = re.findall(r"<text[^>]*>([^<]+)</text>", svg)
    assert "Waist" in texts
    assert "much too tight" in texts
    assert "Bust" not in texts


def test_a_note_is_told_with_the_zone():
    titles = [title.text for title in parsed(form("dress", "front")).iter("title")]
    assert "Waist: much too tight" in titles


@pytest.mark.parametrize("mark", [("tight", 1), ("small", 4), ("small", -1)])
def test_a_mark_of_no_sense_is_refused(mark):
    with pytest.raises(ValueError, match="not a mark"):
        ZoneMark(*mark)


def test_small_zones_lie_above_the_wide_targets_of_lines():
    order = zones_in(form("dress", "front"))
    for small in ("shoulder", "cap", "upper_arm"):
        assert order.index(small) > max(order.index(line) for line in ("shoulder_line", "armhole", "strap", "length"))
    assert order.index("bust_point") > order.index("bust")


def test_the_pdf_engine_draws_the_form_without_complaint(caplog):
    from weasyprint import HTML

    given = {"paper": True, "href": "", "labels": "marked", "side": "left"}
    page = form("dress", "front", **given) + form("trousers", "back", **{**given, "prefix": "g"})
    with caplog.at_level("WARNING", logger="weasyprint"):
        pdf = HTML(string=f"<html lang='en'><title>Forms</title><body>{page}</body></html>").write_pdf()
    assert pdf.startswith(b"%PDF")
    assert not caplog.messages


def test_direction_of_the_lines_tells_the_side():
    made = dress_form("shirt", "front", prefix="f", names={}, marks=MARKS).patterns
    assert {pattern.name for pattern in made} == {"small3", "small2", "large2"}
    for pattern in made:
        assert ("H" in pattern.lines) == pattern.name.startswith("small")
    thickness = {pattern.name: pattern.thickness for pattern in made}
    assert thickness["small3"] > thickness["small2"] == thickness["large2"]


def labels_of(kind: str, view: str, fuller: bool) -> list:
    words = {key: zone.label.capitalize() for key, zone in CATALOGUE.items()}
    return [named.label for named in dress_form(kind, view, prefix="f", names=words, marks=MARKS, fuller=fuller).names]


@pytest.mark.parametrize(("kind", "view", "fuller"), ALL)
def test_names_stand_apart_and_are_large_enough_to_tap(kind, view, fuller):
    labels = labels_of(kind, view, fuller)
    phone = (360 - 32) / 384  # px a unit on a phone of 360 px
    assert all(label.height * phone >= 44 and label.width * phone >= 44 for label in labels)
    for side in ("left", "right"):
        column = sorted((label for label in labels if label.side == side), key=lambda label: label.y)
        assert all(upper.y + upper.height <= lower.y + 0.2 for upper, lower in pairwise(column))


@pytest.mark.parametrize(("kind", "view", "fuller"), ALL)
def test_targets_of_names_cover_no_other_zone(kind, view, fuller):
    areas = cut(kind, view, fuller=fuller).areas
    for label in labels_of(kind, view, fuller):
        points = [
            point for area in areas if area.key != label.key for loop in area.loops for point in loop
            if label.x <= point[0] <= label.x + label.width and label.y <= point[1] <= label.y + label.height
        ]  # fmt: skip
        assert not points, (label.key, points)


def test_labels_that_would_overlap_move_apart_as_a_block():
    """The worked example of docs/algorithms/dress-form.md."""
    even = [(100.0, 1.0), (110.0, 1.0), (300.0, 1.0)]
    assert spread(even, [52.0] * 3, 0, 600) == pytest.approx([79, 131, 300])
    firm = [(100.0, 40.0), (110.0, 1.0)]
    assert spread(firm, [52.0] * 2, 0, 600) == pytest.approx([98.98, 150.98], abs=0.01)


def test_labels_stay_inside_the_drawing():
    places = spread([(-50.0, 1.0), (580.0, 1.0)], [HIT_HEIGHT] * 2, 2, 600)
    assert places == pytest.approx([2, 548])


def test_the_upper_third_of_a_range_is_drawn_fuller():
    sizes = [6, 8, 10, 12, 14, 16, 18, 20, 22, 24]
    assert [size for i, size in enumerate(sizes) if is_fuller(i, len(sizes))] == [18, 20, 22, 24]
    assert not is_fuller(0, 1)


def test_the_fuller_form_gains_most_at_the_waist():
    def width(fuller: bool, key: str) -> float:
        area = next(area for area in cut("dress", "front", fuller=fuller).areas if area.key == key)
        xs = [x for loop in area.loops for x, _ in loop]
        return max(xs) - min(xs)

    gain = {key: width(True, key) / width(False, key) for key in ("neck", "bust", "waist", "hip")}
    assert gain["waist"] > gain["bust"] > gain["neck"] > 1
    assert gain["waist"] > gain["hip"] > 1


def test_splitting_a_seam_keeps_it_whole():
    whole = seam("0 0  0 40 60 40 60 0")
    left, right = split(whole, 0.25)
    assert joined(left, right)[0] == whole[0]
    assert joined(left, right)[-1] == whole[-1]
    assert split(whole, 0.5)[0][-1] == (30, 30)


def test_seams_that_do_not_meet_are_refused():
    with pytest.raises(ValueError, match="do not meet"):
        joined(seam("0 0  1 1 2 2 3 3"), seam("4 4  5 5 6 6 7 7"))


def test_a_seam_of_loose_points_is_refused():
    with pytest.raises(ValueError, match="1 \\+ 3n"):
        seam("0 0  1 1")


def test_wide_letters_take_more_room():
    assert text_width("mm", 10) > text_width("il", 10) * 2
