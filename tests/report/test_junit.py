"""JUnit XML: valid by a schema of the trade, and true.

``junit-10.xsd`` is the schema of the xUnit plugin of Jenkins (MIT licence, in the file), as it comes in the
source distribution of pytest 9.0.2, ``testing/example_scripts/junit-10.xsd``.
"""

from __future__ import annotations

import pathlib

import pytest
from lxml import etree

from cfgaudit.report.cautions import AUDIT_LIMIT, HAZARDS, STANDING
from cfgaudit.report.junit import junit
from cfgaudit.report.paper import Audited
from tests.report.crafts import EVERY, HOSTILE
from tests.report.snapshot import FOLDER, assert_as_kept

SCHEMA = etree.XMLSchema(etree.parse(pathlib.Path(__file__).with_name("junit-10.xsd")))
KEPT = {"audit.xml": "audit", "audits.xml": "several"}


def text(name: str) -> str:
    return "".join(f"{line}\n" for line in junit(EVERY[name]))


def tree(name: str) -> etree._Element:
    return etree.fromstring(text(name).encode("utf-8"))


def case(name: str, rule: str) -> etree._Element:
    (found,) = [one for one in tree(name).iter("testcase") if one.get("name") == rule]
    return found


@pytest.mark.parametrize("name", KEPT)
def test_reads_as_kept(name: str) -> None:
    assert_as_kept(name, text(KEPT[name]))


def test_no_snapshot_is_left_over() -> None:
    assert {file.name for file in FOLDER.glob("*.xml")} == KEPT.keys()


@pytest.mark.parametrize("name", EVERY)
class TestEveryFile:
    def test_is_valid(self, name: str) -> None:
        SCHEMA.assertValid(tree(name))

    def test_counts_agree_with_the_cases(self, name: str) -> None:
        root = tree(name)
        for suite in root.iter("testsuite"):
            cases = [*suite.iter("testcase")]
            assert suite.get("tests") == str(len(cases))
            for attribute, tag in (("failures", "failure"), ("errors", "error"), ("skipped", "skipped")):
                assert suite.get(attribute) == str(sum(one.find(tag) is not None for one in cases))
        for attribute in ("tests", "failures", "errors"):
            assert root.get(attribute) == str(sum(int(one.get(attribute, "")) for one in root))

    def test_a_suite_for_each_craft_and_a_case_for_each_rule(self, name: str) -> None:
        suites = [*tree(name).iter("testsuite")]
        assert len(suites) == len(EVERY[name])
        for suite in suites:
            rules = [one.get("name") for one in suite.iter("testcase")]
            assert len(rules) == len({*rules})
            assert all(len(one) <= 1 for one in suite.iter("testcase"))

    def test_texts_are_safe(self, name: str) -> None:
        assert all(line.isprintable() for line in text(name).split("\n"))

    def test_cautions_are_there(self, name: str) -> None:
        for suite in tree(name).iter("testsuite"):
            said = suite.findtext("system-out", "")
            assert all(sentence in said for sentence in (*STANDING, AUDIT_LIMIT))


def test_hostile_text_is_written_out() -> None:
    assert all("\\x1b" in text(name) for name in HOSTILE)


def test_a_rule_that_holds_passes_without_a_word() -> None:
    assert len(case("audit", "serial/rate")) == 0
    assert case("audit", "serial/rate").get("classname") == "serial"


def test_a_failure_has_findings_places_and_mends() -> None:
    failure = case("audit", "motor/pin").find("failure")
    assert failure is not None
    assert failure.get("type") == "error"
    assert failure.get("message") == (
        "Motor 3 (rear left) is driven from PC9, but its ESC is soldered to pad M3 (PC8)."
    )
    said = str(failure.text)
    assert "after.txt:71:11" in said
    assert "out 3 pin C8" in said


def test_a_consequence_fails_too_and_names_its_root() -> None:
    failure = case("audit", "osd/not-drawn").find("failure")
    assert failure is not None
    assert "follows from serial/job-on-wrong-port: The displayport job" in str(failure.text)


def test_what_is_not_judged_or_accepted_is_skipped_with_its_reason() -> None:
    open_, accepted, off = (
        case(name, rule).find("skipped")
        for name, rule in (
            ("audit", "osd/canvas"),
            ("accepted", "video/power"),
            ("accepted", "motor/tip-too-fast"),
        )
    )
    assert open_ is not None
    assert accepted is not None
    assert off is not None
    assert str(open_.text).count("not judged: ") == 2
    assert str(accepted.get("message")).startswith(
        "accepted until 2027-03-01 (build.yaml:70:5): flown on a range with a permit of its own: "
    )
    assert off.get("message") == "switched off (build.yaml:64:5): rated for it"
    assert [one.get("type") for one in (open_, accepted, off)] == ["not judged", "accepted", "switched off"]


def test_a_craft_that_cannot_be_audited_is_an_error() -> None:
    (error,) = tree("several").iter("error")
    assert error.get("message") == (
        "heron/known good.txt:1:1: there is no such file; check the name and the folder"
    )


def test_what_can_hurt_is_said() -> None:
    assert isinstance(EVERY["audit"][0], Audited)
    assert HAZARDS["propellers"].sentence in text("audit")
