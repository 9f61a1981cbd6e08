"""Readings in words: of the garment, in the words of the trade."""

from __future__ import annotations

from functools import partial

import pytest
from django.utils.translation import override

from measurements.sentences import listed
from measurements.translated import in_words
from testing_rounds import reading
from testing_rounds.evidence_words import pole, reading_title
from testing_rounds.planning_forms import view_names
from testing_rounds.reading import Flag, Reading
from testing_rounds.reading_table import as_table
from testing_rounds.round_data import Zone
from testing_rounds.say import also, cause, claim, flagged, title, zone_needs
from testing_rounds.zones import CATALOGUE
from tests.testing_rounds.rounds import SIZES, a_round, answers_by_size, example

read = partial(reading.read, method="counts")

WAIST = CATALOGUE["waist"].asked()
QUIET = {size: [0, 0] for size in SIZES}


def reading_of(row: dict[str, list[int]], zone: Zone = WAIST) -> Reading:
    (found,) = read(a_round(answers_by_size(zone.key, row), zones=(zone,)))
    return found


def said(row: dict[str, list[int]], zone: Zone = WAIST) -> str:
    return str(title(reading_of(row, zone), zone, SIZES))


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ({**QUIET, "18": [-1, -1]}, "The waist is tight in size 18 alone"),
        ({**QUIET, "18": [2, 1]}, "The waist is loose in size 18 alone"),
        ({size: [-1, -1] for size in SIZES}, "The waist is tight in the whole range"),
        (
            {**QUIET, "20": [-1, -1], "22": [-1, -1], "24": [-2, -1]},
            "The waist is tight towards the large sizes: 20, 22 and 24",
        ),
        ({**QUIET, "6": [-1, -1], "8": [-1, -1]}, "The waist is tight towards the small sizes: 6 and 8"),
        (QUIET, "Waist: no complaint is repeated"),
        ({**QUIET, "12": [-1, -1], "16": [-1, -1]}, "Waist: some say tight, and no pattern shows yet"),
        ({"12": [-1, -1]}, "The waist is tight in size 12 alone"),
        ({"12": [0]}, "Waist: too few answers to read"),
    ],
)
def test_the_situation_in_a_line(row, words):
    assert said(row) == words


@pytest.mark.parametrize(
    ("zone", "fit", "words"),
    [
        (CATALOGUE["cap"], -1, "The sleeve cap pulls in size 12 alone"),
        (CATALOGUE["cap"], 1, "The sleeve cap puckers in size 12 alone"),
        (CATALOGUE["shoulder_line"], -1, "The shoulder line sits back in size 12 alone"),
        (CATALOGUE["neck"], 1, "The neck is gaping in size 12 alone"),
        (CATALOGUE["rise"], 1, "The rise is long in size 12 alone"),
    ],
)
def test_each_word_reads_as_a_sentence(zone, fit, words):
    assert said({**QUIET, "12": [fit, fit]}, zone.asked()) == words


@pytest.mark.parametrize("zone", CATALOGUE.values(), ids=lambda zone: zone.key)
def test_every_word_of_the_catalogue_has_a_verb(zone):
    assert ":" not in f"{claim(zone.asked(), zone.low)}{claim(zone.asked(), zone.high)}"


def test_a_word_of_a_studios_own_follows_a_colon():
    assert said({**QUIET, "12": [1, 1]}, Zone("yoke", "back_yoke", "dips", "rides up")) == (
        "Back yoke: rides up, in size 12 alone"
    )


@pytest.mark.parametrize(
    ("sizes", "words"),
    [
        (("20", "22", "24"), "The waist is tight from size 20 up"),
        (("6", "8"), "The waist is tight from size 8 down"),
    ],
)
def test_a_step_is_told_by_its_first_size(sizes, words):
    step = Reading(**{**vars(reading_of(QUIET)), "reading": "from_size", "level": "repeated", "sizes": sizes})
    assert str(title(step, WAIST, SIZES)) == words


def test_where_to_look():
    run = reading_of({**QUIET, "22": [-1, -1], "24": [-1, -1]})
    assert str(cause(run)) == "More towards the large sizes: look at the grade."
    assert [str(other) for other in also(run)] == ["From one size on: look at that step of the grade."]
    assert str(cause(reading_of({**QUIET, "18": [-1, -1]}))) == "In one size alone: look for a slip in that size."
    assert cause(reading_of(QUIET)) is None


def test_which_sizes_need_more():
    _, hip, length = read(example())
    assert str(zone_needs(length)) == "Sizes 34, 38 and 40 need more reports: fewer than two answers count here."
    assert zone_needs(hip) is None


@pytest.mark.parametrize("by", ["cell", "reading", "both"])
def test_why_a_size_is_flagged(by):
    assert str(flagged(Flag("waist", "18", -1, by))).startswith("Flagged by ")


@pytest.mark.parametrize(("names", "words"), [([], ""), ("8", "8"), (["8", "10"], "8 and 10"), ("ABC", "A, B and C")])
def test_names_in_a_row(names, words):
    assert listed(names) == words


def test_the_table_shows_a_strength_where_there_is_one():
    (hip,) = [one for one in read(example()) if one.zone == "hip"]
    weighed = Reading(**{**vars(hip), "strength": 0.987})
    assert "repeated 99%" in as_table(example(), [weighed])


def test_the_table_of_an_empty_round():
    data = a_round([], sizes=["M"], zones=(WAIST,))
    assert as_table(data, read(data)) == (
        "Tidewrack 0.4, size M: no reports\n"
        "\n"
        "zone   reading  word  sizes  level    counted\n"
        "waist  none                  too few\n"
        "\n"
        "waist: size M needs more reports\n"
    )


def test_the_table_steers_no_terminal():
    data = a_round([], sizes=["M\x1b[2J"], zones=(WAIST,))
    assert "\x1b" not in as_table(data, read(data))


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ({**QUIET, "18": [-1, -1]}, "Tour de taille\xa0: ça serre pour la taille 18 seulement"),
        (
            {**QUIET, "20": [-1, -1], "22": [-1, -1], "24": [-2, -1]},
            "Tour de taille\xa0: ça serre vers les grandes tailles\xa0: 20 à 24",
        ),
        (
            {**QUIET, "12": [-1, -1], "16": [-1, -1]},
            "Tour de taille\xa0: certains avis disent «\xa0trop juste\xa0», et aucune régularité ne se voit encore",
        ),
        (QUIET, "Tour de taille\xa0: aucune plainte ne se répète"),
    ],
)
def test_no_word_of_the_line_stays_english(row, words):
    with override("fr"):
        assert reading_title(reading_of(row), WAIST, SIZES) == words


def test_sizes_are_joined_in_the_readers_language():
    _, _hip, length = read(example())
    needs = zone_needs(length)
    assert needs
    with override("fr"):
        assert "34, 38 et 40" in in_words(needs)


def test_the_back_in_a_photo_is_not_the_way_that_a_seam_sits():
    with override("fr"):
        assert view_names()["back"] == "dos"
        assert pole(CATALOGUE["shoulder_line"].asked(), -1) == "trop en arrière"
