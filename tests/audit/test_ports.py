"""Ports that the firmware numbers itself: what the build sheet has to say before they are judged."""

from __future__ import annotations

import re

import pytest

from cfgaudit.audit.audit import audit
from cfgaudit.audit.book import shipped_rules
from cfgaudit.audit.finding import Audit
from cfgaudit.model.place import Place
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.sheet import Build, build_from
from tests.audit.bench import SAMPLES, reading_of, sample_text, sheet

RULES = shipped_rules()
GOOD, FAULTY = sample_text("vole/known-good.txt"), "vole/faulty.txt"
TEXT = (SAMPLES / "vole" / "build.yaml").read_text("utf-8")
PLACES = {"UART1": 11, "UART3": 12, "UART4": 13, "UART2": 14}  # lines of the sheet; with a device each


def without_numbers(*ids: str) -> Build:
    """The vole's sheet without the numbers of these ports."""
    text = TEXT
    for id in ids:
        text, count = re.subn(rf"(?m)^(    {id}: +\{{)number: \d(?:, )?", r"\1", text)
        assert count == 1
    return build_from(read_yaml(text, "build.yaml"))


def seen(board: Build, *changes: tuple[str, str], more: str = "") -> Audit:
    """The audit of the vole's good dump with some lines changed."""
    text = GOOD
    for right, wrong in changes:
        assert text.count(f"\n{right}\n") == 1
        text = text.replace(f"\n{right}\n", f"\n{wrong}\n")
    return audit(reading_of(text + more, board=board), board, RULES)


def not_judged(audit: Audit) -> dict[tuple[str, str], tuple[str, object]]:
    return {(one.rule, one.subject.rpartition(".")[2]): (one.missing, one.where) for one in audit.not_judged}


ABOUT_PORTS = {
    "serial/duplex-differs", "serial/inversion-differs", "serial/job-nowhere", "serial/job-on-wrong-port",
    "serial/no-room-for-job", "serial/rate-differs",
}  # fmt: skip
OF_UNPLACED = {
    "serial/job-on-second-port", "serial/job-without-device", "serial/jobs-that-cannot-share",
    "serial/port-not-brought-out", "serial/rate-inexact", "serial/rate-not-made",
}  # fmt: skip


def test_without_a_port_s_number_its_device_is_not_judged() -> None:
    found = seen(without_numbers("UART4"))
    assert found.findings == ()
    said = "the build sheet does not declare board.ports.UART4.number"
    where = Place("build.yaml", 13, 14)
    told = not_judged(found)
    for rule in ABOUT_PORTS:
        assert told.pop((rule, "video sender")) == (said, where)
    assert {rule for rule, _ in told} == OF_UNPLACED
    assert {*told.values()} == {(said, where)}


def test_without_any_number_nothing_about_ports_is_judged() -> None:
    found = seen(without_numbers("USB", "UART1", "UART2", "UART3", "UART4", "UART5", "LPUART1"))
    assert found.findings == ()
    about_usb = {"serial/console-link-lost"}
    load = {"serial/line-overfull", "serial/line-nearly-full"}
    assert {rule for rule, _ in not_judged(found)} == ABOUT_PORTS | OF_UNPLACED | about_usb | load
    places = {where.line for _, where in not_judged(found).values() if isinstance(where, Place)}
    assert places == {*PLACES.values(), 10}  # the first port without a number stands for those of the others


@pytest.mark.parametrize(
    "changes",
    [
        (("LINK3_WORK,1024", "LINK3_WORK,0"),),
        (("LINK3_WORK,1024", "LINK3_WORK,1025"),),  # the receiver's job on it, too: on which port?
        (("LINK3_WORK,1024", "LINK3_WORK,32"),),
    ],
)
def test_what_an_unplaced_port_carries_is_no_finding(changes: tuple[tuple[str, str], ...]) -> None:
    found = seen(without_numbers("UART4"), *changes).findings
    # which port is unknown, but none carries the job that the video sender is steered by
    assert {one.rule for one in found} <= {"video/control-without-port"}


def test_a_job_on_a_port_and_on_an_unplaced_one_is_left_open() -> None:
    found = seen(without_numbers("UART4"), ("LINK3_WORK,1024", "LINK3_WORK,1"))
    assert ("serial/job-on-second-port", "receiver") in not_judged(found)


def test_an_unplaced_port_may_carry_the_text_for_the_picture() -> None:
    """It is a port of the board, whichever: nobody says that none carries the job."""
    found = seen(
        without_numbers("UART4"), ("TEXT_BY,CHIP", "TEXT_BY,LINK"), ("LINK3_WORK,1024", "LINK3_WORK,256")
    )
    assert "osd/displayport-without-port" in found.holding


def test_without_usb_s_number_nobody_is_locked_out() -> None:
    found = seen(without_numbers("USB"), ("LINK0_WORK,2", "LINK0_WORK,0"))
    assert found.findings == ()
    where = Place("build.yaml", 10, 14)
    assert not_judged(found) == {
        ("serial/console-link-lost", ""): ("the build sheet does not declare board.ports.USB.number", where)
    }


def test_a_device_whose_port_is_told_lacks_its_job_wherever_that_is() -> None:
    found = seen(
        without_numbers("UART4"), ("LINK2_WORK,4", "LINK2_WORK,0"), ("LINK3_WORK,1024", "LINK3_WORK,4")
    )
    finding, other = sorted(found.findings, key=lambda one: one.rule)
    assert other.rule == "video/control-without-port"
    assert finding.rule == "serial/job-nowhere"
    assert finding.text == "floor finder on UART3 needs the rangefinder job, but UART3 carries nothing."
    assert finding.mend.lines == ("LINK2_WORK,4",)


def test_a_number_that_no_port_of_the_board_has() -> None:
    found = seen(sheet("vole"), ("LINK2_WORK,4", "LINK2_WORK,0"), more="LINK9_WORK,4\n")
    (finding,) = found.findings
    assert finding.rule == "serial/job-on-wrong-port"
    assert finding.text == (
        "The rangefinder job is on PORT9, where nothing is soldered; floor finder on UART3 gets nothing."
    )
    assert finding.mend.lines == ("LINK2_WORK,4", "LINK9_WORK,0")
    assert [one.text for one in finding.follows] == [
        "PORT9 carries rangefinder, but Mallow-474 has no pads for PORT9."
    ]
    assert found.not_judged == ()


def test_a_chip_s_number_is_not_the_firmware_s() -> None:
    """The board's UART4 is the firmware's 3: with the numbers exchanged, the good dump is at fault."""
    text = TEXT.replace("UART4:   {number: 3", "UART4:   {number: 4")
    text = text.replace("UART2:   {number: 4", "UART2:   {number: 3")
    board = build_from(read_yaml(text, "build.yaml"))
    assert sorted(one.subject for one in seen(board).findings if one.rule == "serial/job-on-wrong-port") == [
        "build.devices.ESC report",
        "build.devices.video sender",
    ]
