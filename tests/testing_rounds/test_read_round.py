"""`manage.py read_round`, as a shell sees it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from testing_rounds.reading import METHODS, read
from testing_rounds.reading_table import as_table
from tests.testing_rounds.rounds import EXAMPLE, example

ROOT = Path(__file__).resolve().parents[2]


def run(*words: str, given: bytes = b"") -> tuple[int, str, str]:
    """The exit code and what was printed on either side."""
    command = [sys.executable, "manage.py", "read_round", *words]
    done = subprocess.run(command, input=given, capture_output=True, cwd=ROOT, check=False)
    return done.returncode, done.stdout.decode(), done.stderr.decode()


def readings() -> list[dict]:
    return json.loads(json.dumps([reading.as_dict() for reading in read(example())]))


def test_a_table():
    assert run(str(EXAMPLE)) == (0, as_table(example(), read(example())), "")


def test_json_alone_from_standard_input():
    code, out, err = run("--json", "-", given=EXAMPLE.read_bytes())
    assert (code, json.loads(out), err) == (0, readings(), "")


def test_many_rounds_in_one_process():
    line = json.dumps(json.loads(EXAMPLE.read_text())).encode() + b"\n"
    code, out, err = run("--lines", given=line + b"\n" + line)
    assert (code, [json.loads(row) for row in out.splitlines()], err) == (0, [readings(), readings()], "")


def test_a_broken_line_is_named_in_its_place():
    line = json.dumps(json.loads(EXAMPLE.read_text())).encode() + b"\n"
    code, out, err = run("--lines", given=line + line.replace(b'"unit": "cm"', b'"unit": "in"') + line)
    assert code == 2
    assert [json.loads(row) for row in out.splitlines()] == [
        readings(),
        {"error": 'line 2: unit is "in"; it must be "cm"'},
        readings(),
    ]
    assert err.endswith('1 of 3 rounds cannot be read; line 2: unit is "in"; it must be "cm"\n')


def test_what_cannot_be_read_is_one_sentence_and_code_2():
    code, out, err = run("-", given=b"{")
    assert (code, out) == (2, "")
    assert err.removeprefix("CommandError: ") == (
        "the file is not JSON: expecting property name enclosed in double quotes at line 1, column 2\n"
    )


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["nowhere.json"], "nowhere.json cannot be read: No such file or directory"),
        (["/"], "/ cannot be read: Is a directory"),
        ([str(EXAMPLE), "--method", "guess"], "'guess' is no method of reading; the methods are " + ", ".join(METHODS)),
        (
            [str(EXAMPLE), "--stage", "muslin"],
            "the file has no report of the stage muslin; its stages are toile, finished",
        ),
    ],
)
def test_each_slip_has_its_sentence(words, sentence):
    with pytest.raises(CommandError) as caught:
        call_command("read_round", *words)
    assert (str(caught.value), caught.value.returncode) == (sentence, 2)


@pytest.mark.parametrize(
    ("was", "becomes", "sentence"),
    [
        (b'"fit": -1', b'"fit": 7', "fit is 7; it must be a whole number from -2 to 2"),
        (b'"fit": -1', b'"fit": NaN', "is not a finite number"),
        (b'"size": "38"', b'"size": "99"', "size is \"99\"; it must be one of 34, 36, 38, 40 or 42"),
        (b'"tester": "T02"', b'"tester": "T01"', "this tester has a toile report already, report 1"),
        (b'"hip": {', b'"hop": {', "hop is no zone of this round"),
    ],
    ids=["fit 7", "NaN", "unknown size", "a tester twice", "unknown zone"],
)  # fmt: skip
def test_a_bad_file_gets_one_sentence_with_its_place(tmp_path, was, becomes, sentence):
    file = tmp_path / "round.json"
    file.write_bytes(EXAMPLE.read_bytes().replace(was, becomes, 1))
    with pytest.raises(CommandError, match="report ") as caught:
        call_command("read_round", str(file), "--json")
    assert sentence in str(caught.value)
