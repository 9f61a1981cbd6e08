"""What changes patterns and their versions. Each verb is one transaction, and leaves its entry in the trail."""

from releases.actions.ease import declare_ease, remove_length, write_length
from releases.actions.files import add_file, remove_file
from releases.actions.finished import write_finished
from releases.actions.grade import declare_finished_breaks, declare_grade_facts, take_finished_proposal
from releases.actions.patterns import change_pattern, create_pattern
from releases.actions.refused import Refused
from releases.actions.steps import write_steps
from releases.actions.versions import begin_testing, change_version, create_version, take_over_chart

__all__ = [
    "Refused",
    "add_file",
    "begin_testing",
    "change_pattern",
    "change_version",
    "create_pattern",
    "create_version",
    "declare_ease",
    "declare_finished_breaks",
    "declare_grade_facts",
    "remove_file",
    "remove_length",
    "take_finished_proposal",
    "take_over_chart",
    "write_finished",
    "write_length",
    "write_steps",
]
