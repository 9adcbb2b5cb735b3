"""The plan: which jobs each port should carry, given what is soldered to it."""

from __future__ import annotations

import pytest

from cfgaudit.derive.wiring import Wiring, rate_of, wiring


def wired(ports: dict[str, list[str] | None], **soldered: str) -> Wiring:
    """Ports with their jobs (None: the dump does not say), and job=port for each device."""
    return wiring(
        {"ports": {id: {} if jobs is None else {"functions": [*jobs]} for id, jobs in ports.items()}},
        {
            "devices": [
                {"kind": "other", "name": job, "job": job.replace("_", "-"), "port": port}
                for job, port in soldered.items()
            ]
        },
    )


def plan(wiring: Wiring) -> dict[str, list[str]]:
    return {id: [*wiring.planned(port)] for id, port in wiring.ports.items()}


@pytest.mark.parametrize(
    ("ports", "soldered", "planned"),
    [
        pytest.param(
            {"UART4": [], "UART6": ["gnss", "displayport"]},
            {"displayport": "UART4", "gnss": "UART6"},
            {"UART4": ["displayport"], "UART6": ["gnss"]},
            id="a preset put the display on the wrong port",
        ),
        pytest.param(
            {"UART4": ["gnss"], "UART6": ["displayport"]},
            {"displayport": "UART4", "gnss": "UART6"},
            {"UART4": ["displayport"], "UART6": ["gnss"]},
            id="two jobs changed places",
        ),
        pytest.param(
            {"UART1": ["gnss"], "UART3": ["telemetry"], "UART6": []},
            {"receiver": "UART1", "gnss": "UART6"},
            {"UART1": ["receiver"], "UART3": ["telemetry"], "UART6": ["gnss"]},
            id="what is not soldered makes room, what is in nobody's way stays",
        ),
        pytest.param(
            {"UART1": ["receiver", "telemetry"], "UART3": ["receiver"]},
            {"receiver": "UART1"},
            {"UART1": ["receiver", "telemetry"], "UART3": []},
            id="a second receiver port",
        ),
        pytest.param(
            {"UART3": ["receiver", "gnss", "console-link"]},
            {},
            {"UART3": ["console-link"]},
            id="of loose jobs that clash none stays but the way in",
        ),
        pytest.param(
            {"USB": ["gnss"], "UART1": ["receiver"]},
            {"receiver": "UART1"},
            {"USB": ["console-link"], "UART1": ["receiver"]},
            id="the way in comes back",
        ),
        pytest.param(
            {"USB": ["console-link"], "UART1": ["console-link"]},
            {"receiver": "UART1"},
            {"USB": ["console-link"], "UART1": ["receiver"]},
            id="a second way in makes room",
        ),
        pytest.param(
            {"UART1": ["console-link"]},
            {"receiver": "UART1"},
            {"UART1": ["console-link"]},
            id="the last way in does not",
        ),
        pytest.param(
            {"UART1": ["gnss"]},
            {"gnss": "UART1", "receiver": "UART1"},
            {"UART1": ["gnss"]},
            id="soldering that cannot work is left as it is",
        ),
    ],
)
def test_plan(
    ports: dict[str, list[str] | None], soldered: dict[str, str], planned: dict[str, list[str]]
) -> None:
    assert plan(wired(ports, **soldered)) == planned


def test_a_plan_carried_out_needs_no_other() -> None:
    ports: dict[str, list[str] | None] = {"UART4": ["gnss", "msp"], "UART6": ["displayport"], "UART1": []}
    soldered = {"displayport": "UART4", "gnss": "UART6", "receiver": "UART1"}
    once = plan(wired(ports, **soldered))
    assert plan(wired({**once}, **soldered)) == once


def test_elsewhere_only_where_the_port_is_known_to_lack_the_job() -> None:
    silent = wired({"UART3": ["gnss"], "UART6": None}, gnss="UART6")
    assert silent.elsewhere == {}
    lacking = wired({"UART3": ["gnss"], "UART6": []}, gnss="UART6")
    assert [*lacking.elsewhere.values()] == ["UART3"]


def test_a_job_with_a_device_of_its_own_there_is_nobody_elses() -> None:
    two = wiring(
        {"ports": {"UART3": {"functions": ["gnss"]}, "UART6": {"functions": []}}},
        {
            "devices": [
                {"kind": "gnss", "name": "front", "job": "gnss", "port": "UART3"},
                {"kind": "gnss", "name": "rear", "job": "gnss", "port": "UART6"},
            ]
        },
    )
    assert two.elsewhere == {}


def test_idle_leaves_out_what_comes_with_a_device() -> None:
    carried = wired({"UART4": ["displayport", "msp", "telemetry"]}, displayport="UART4")
    assert carried.idle(carried.ports["UART4"]) == ("telemetry",)
    assert carried.tidy(carried.ports["UART4"]) == ("displayport", "msp")


def test_two_ports_for_one_receiver() -> None:
    assert wired({"UART1": ["receiver"], "UART3": ["receiver"]}).contested("receiver")
    assert not wired({"UART1": ["receiver"], "UART3": ["receiver"]}, receiver="UART3").contested("receiver")
    assert not wired({"UART1": ["receiver"], "UART3": ["receiver"], "UART4": []}, receiver="UART4").contested(
        "receiver"
    )


def test_rate() -> None:
    assert rate_of({"rate_baud": 57600}, "gnss") == (("rate_baud",), 57600)
    assert rate_of({"rates_baud": {"gnss": 9600}}, "gnss") == (("rates_baud", "gnss"), 9600)
    assert rate_of({"rates_baud": {"gnss": 9600}}, "telemetry") == (("rates_baud", "telemetry"), None)
    assert rate_of({}, "gnss") == (("rate_baud",), None)
