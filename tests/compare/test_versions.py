"""Two versions of one firmware: what is called or written otherwise is no change by that alone."""

from __future__ import annotations

from cfgaudit.compare.compare import compare
from tests.audit.bench import sample
from tests.dialect.small import compiled, read


def told() -> dict[str, str]:
    changes = compare(sample("heron/known-good.txt"), sample("heron/after-update.txt")).changes
    return {one.subject: one.text for one in changes}


def test_another_name_is_said_with_the_change_and_is_none_by_itself() -> None:
    changes = told()
    assert changes["motors / sag-lift"] == "0 → 20, was called motors / sag-help"
    assert "motors / sag-help" not in changes
    before, after = sample("heron/factory-2.3.1.txt"), sample("heron/factory-3.0.txt")
    assert not any("fixes" in one.subject for one in compare(before, after).changes)


def test_the_same_text_that_means_something_else_is_a_change() -> None:
    assert told()["pack / not-full"] == "10, which meant 0.1 and means 0.01"


def test_another_text_that_means_the_same_is_none() -> None:
    before, after = sample("heron/factory-2.3.1.txt"), sample("heron/factory-3.0.txt")
    assert before.model.settings["pack / not-full"].value == "10"
    assert after.model.settings["pack / not-full"].value == "100"
    assert "pack / not-full" not in {one.subject for one in compare(before, after).changes}


def test_a_packed_value_that_means_something_else_is_told_by_its_fields() -> None:
    made = compiled(
        "dialect: own\nfamily: console\nheader: 'own {firmware.version}'\nremark: '#'\nsettings:\n  spot:\n"
        "    - {packed: {row: {bits: 0-3}, column: {bits: 4-7}}, until: '2.0'}\n"
        "    - {packed: {row: {bits: 4-7}, column: {bits: 0-3}}, since: '2.0'}\n"
    )
    before, after = (read(made, f"# own {version}", "spot = 18") for version in ("1.0", "2.0"))
    (one,) = (change for change in compare(before, after).changes if change.subject == "spot")
    assert one.text == "18, which meant row 2, column 1 and means row 1, column 2"
