"""Steps out of a pasted text. The rules stand in docs/algorithms/steps.md, whose table is checked here."""

from __future__ import annotations

import pytest

from releases.steps_text import read_steps, steps_as_text
from tests.measurements.tables import worked_table


def read(text: str) -> tuple[list[tuple[int, str]], list[str]]:
    found = read_steps(text)
    return [(step.number, step.text) for step in found.steps], [odd.code for odd in found.odd]


@pytest.mark.parametrize("row", worked_table("steps.md", "Odd numbers"), ids=lambda row: row["numbers typed"])
def test_numbers_are_kept_or_said(row):
    typed = [int(number) for number in row["numbers typed"].split(", ")]
    steps, odd = read("\n".join(f"{number}. Sew seam {i}." for i, number in enumerate(typed)))
    assert [number for number, _ in steps] == [int(number) for number in row["kept as"].split(", ")]
    assert [words for _, words in steps] == [f"Sew seam {i}." for i in range(len(typed))]
    assert odd == ([row["said"]] if row["said"] else [])


def test_lines_below_a_number_belong_to_it():
    steps, odd = read("1) Sew the darts,\n1.5 cm from the edge.\n\nPress them down.\n2) Join the shoulders.")
    assert steps == [(1, "Sew the darts,\n1.5 cm from the edge.\n\nPress them down."), (2, "Join the shoulders.")]
    assert not odd


@pytest.mark.parametrize("mark", ["{}. ", "{}) ", "{}: ", "Step {}: ", "Step {} ", "step {}. ", "  {}.  "])
def test_the_usual_marks_are_read(mark):
    assert read(f"{mark.format(1)}Cut\n{mark.format(2)}Sew")[0] == [(1, "Cut"), (2, "Sew")]


def test_without_numbers_a_blank_line_parts_two_steps():
    assert read("Cut all pieces\nof the shell.\n\n\nSew.\n") == (
        [(1, "Cut all pieces\nof the shell."), (2, "Sew.")],
        [],
    )


def test_a_single_block_of_lines_is_a_step_a_line():
    assert read("Cut\r\nSew\r\n")[0] == [(1, "Cut"), (2, "Sew")]


def test_text_before_the_first_number_is_kept_and_said():
    steps, odd = read("Press all pieces.\n1. Cut\n2. Sew")
    assert steps[0] == (1, "Press all pieces.\n\nCut")
    assert odd == ["text_before"]


def test_a_number_without_words_is_left_out_and_said():
    assert read("1.\n2. Sew") == ([(2, "Sew")], ["empty"])


def test_an_empty_text_has_no_steps():
    assert read(" \n\n") == ([], [])


@pytest.mark.parametrize("text", ["1. Cut\nall\n\nof it\n3. Sew", "Cut\n\nSew", "Step 4: Cut\nStep 5: Sew"])
def test_saved_steps_read_back_the_same(text):
    steps, _ = read(text)
    assert read(steps_as_text(steps))[0] == steps


def test_the_sentences_name_the_numbers():
    found = read_steps("1. Cut\n4. Sew\n9. Press")
    assert [str(odd) for odd in found.odd] == ["There are no steps 2, 3, 5, 6, 7, 8."]
