"""Which cautions belong to a step and to a pattern, and which are missing."""

from __future__ import annotations

import pytest

from releases.cautions import CAUTIONS, cautions_by_step, missing_cautions, pattern_cautions, step_cautions

BARE = {
    "iron": "Fuse the interfacing to the facings.",
    "rotary_blade": "Cut the binding with a rotary cutter.",
    "sealant": "Dab seam sealant on the ends.",
    "marker": "Draw the dart with an erasable pen.",
    "cord": "Thread the drawstring through the channel.",
    "nightwear": "For pyjamas leave the pocket off.",
}


@pytest.mark.parametrize("kind", BARE)
def test_a_step_that_names_a_danger_gets_its_caution_and_a_missing_one_is_found(kind):
    step = (4, BARE[kind])

    assert [one.kind for one in step_cautions(step[1])] == [kind]
    (found,) = missing_cautions([(3, "Join the shoulders."), step])
    assert (found.step, found.kind, found.text.lower() in step[1].lower()) == (4, kind, True)
    # What is proposed is a caution: with it nothing is missing, and the booklet adds nothing.
    told = f"{step[1]} {found.proposed}"
    assert missing_cautions([(4, told)]) == ()
    assert cautions_by_step([(4, told)]) == {}


def test_a_caution_that_was_given_holds_for_the_steps_behind_it_and_one_given_later_does_not():
    early = [(1, "Test the iron on a scrap."), (2, "Iron the hem.")]
    late = [(1, "Iron the hem."), (2, "Test the iron on a scrap.")]

    assert missing_cautions(early) == ()
    assert [(one.step, one.kind) for one in missing_cautions(late)] == [(1, "iron")]
    assert missing_cautions(late, before="Stand the iron on its heel.") == ()


@pytest.mark.parametrize(
    "text",
    [
        "Press the seam open.",
        "Sew on a press stud.",
        "Cover the piping cord with the bias strip.",
        "Use the presser foot; the environment is dry.",
        "Sew the seam at 1 cm (3/8 in), matching the notches.",
        "According to the diffusion of the print, confuse nothing.",
    ],
)
def test_plain_prose_lacks_no_caution(text):
    assert missing_cautions([(1, text)]) == ()


def test_the_first_step_that_presses_shows_the_irons_caution_and_no_other():
    shown = cautions_by_step([(1, "Join."), (2, "Press the seam open."), (3, "Press again.")])

    assert {step: [one.kind for one in some] for step, some in shown.items()} == {2: ["iron"]}


def test_children_s_clothes_show_all_of_theirs_and_others_what_their_words_call_for():
    assert [one.kind for one in pattern_cautions(for_children=True)] == ["cord", "nightwear", "small_parts", "adults"]
    assert [one.kind for one in pattern_cautions(for_children=False, words="A nightshirt.")] == ["nightwear"]
    assert pattern_cautions(for_children=False, words="A shirt.") == ()
    buttons = [(1, "Sew on the buttons.")]
    assert missing_cautions(buttons) == ()
    assert [one.kind for one in missing_cautions(buttons, for_children=True)] == ["small_parts"]


def test_each_defers_to_a_rule_or_a_label_where_there_is_one():
    for kind in ("cord", "nightwear", "small_parts", "sealant"):
        said = str(CAUTIONS[kind].says)
        assert "rule" in said or "label" in said, said


def test_the_worked_example_of_the_documentation():
    steps = [(1, "Press the darts down."), (2, "Fuse the facings."), (3, "Trim with a rotary cutter."),
             (4, "Cut away from yourself with the rotary cutter.")]  # fmt: skip

    assert [(one.step, one.kind) for one in missing_cautions(steps)] == [(2, "iron"), (3, "rotary_blade")]
