"""Every figure that is shown: it has its sum, it is judged, and what is missing is named."""

from __future__ import annotations

import pytest

from cfgaudit.audit.book import shipped_rules
from cfgaudit.derive.missing import Missing
from cfgaudit.derive.numbers import SUBJECTS, tables
from cfgaudit.derive.quantity import Quantity, figure
from tests.audit.bench import sample, sheet

RULES = {rule.id: rule for rule in shipped_rules(cases=True)}
CRAFTS = ("otter", "heron", "vole")


def shown(craft: str) -> list[Quantity]:
    reading, board = sample(f"{craft}/known-good.txt"), sheet(craft)
    return [row for table in tables(reading.model.tree, board.tree) for row in table.rows]


@pytest.mark.parametrize("craft", CRAFTS)
def test_nothing_is_missing_that_the_samples_could_tell(craft: str) -> None:
    assert [row for row in shown(craft) if isinstance(row.value, Missing)] == []


@pytest.mark.parametrize("craft", CRAFTS)
def test_each_figure_is_judged_by_a_rule_with_cases(craft: str) -> None:
    for row in shown(craft):
        assert row.rules, row
        for rule in row.rules:
            assert {case.answer for case in RULES[rule].cases} >= {"holds", "fails"}, rule


@pytest.mark.parametrize("craft", CRAFTS)
def test_each_figure_has_a_sum_that_speaks_of_figures(craft: str) -> None:
    for row in shown(craft):
        assert row.sum, row
        assert "?" not in row.sum, row
        assert "None" not in row.sum, row


@pytest.mark.parametrize("subject", SUBJECTS)
def test_without_inputs_every_figure_says_what_it_needs(subject: str) -> None:
    for table in tables({}, {}, (subject,)):
        assert table.subject == subject
        assert table.rows
        for row in table.rows:
            assert isinstance(row.value, Missing), row
            assert row.value.needs
            assert all(need.startswith(("model.", "build.")) for need in row.value.needs)


def test_one_subject_alone() -> None:
    reading, board = sample("otter/known-good.txt"), sheet("otter")
    assert [table.subject for table in tables(reading.model.tree, board.tree, ("line",))] == ["line"]


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (619.047, "619"),
        (41666.66, "41,667"),
        (0.01234567, "0.01235"),
        (420000, "420,000"),
        (1234567.0, "1,234,567"),
        (-0.114, "-0.114"),
        (2.5, "2.5"),
        (0, "0"),
        (0.125, "0.125"),
    ],
)
def test_figures_for_people(value: float, said: str) -> None:
    assert figure(value) == said
