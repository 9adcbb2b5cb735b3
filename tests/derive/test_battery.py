from __future__ import annotations

import pytest

from cfgaudit.derive.battery import CHEMISTRIES, battery
from cfgaudit.derive.missing import Missing


@pytest.mark.parametrize("chemistry", CHEMISTRIES.values(), ids=CHEMISTRIES)
def test_the_usual_thresholds_are_allowed_and_in_order(chemistry: object) -> None:
    name = next(name for name, one in CHEMISTRIES.items() if one is chemistry)
    found = battery({}, {"battery": {"chemistry": name}})
    usual = found["usual"]
    assert isinstance(usual, dict)
    assert usual["empty_v"] < usual["warn_v"] < usual["full_v"]  # type: ignore[operator]
    assert usual["full_v"] <= found["full_v"]  # type: ignore[operator]
    assert usual["warn_v"] >= found["warn_v"]  # type: ignore[operator]
    assert usual["empty_v"] >= found["empty_v"]  # type: ignore[operator]


def test_chemistry_without_a_table() -> None:
    assert battery({}, {})["full_v"] == Missing(("build.battery.chemistry",))
    odd = battery({}, {"battery": {"chemistry": "lead"}})["full_v"]
    assert isinstance(odd, Missing)
    assert "lead" in odd.reason


def test_without_a_chemistry_the_order_is_put_right_with_what_is_set() -> None:
    set_so = {"cell_empty_v": 3.5, "cell_warn_v": 3.3, "cell_full_v": 4.2}
    found = battery({"battery": {**set_so}}, {})
    assert found["in_order"] == {"empty_v": 3.3, "warn_v": 3.5, "full_v": 4.2}
    known = battery({"battery": {**set_so}}, {"battery": {"chemistry": "lipo"}})
    assert known["in_order"] == known["usual"]
    assert battery({}, {})["in_order"] == Missing(("build.battery.chemistry",))


def test_the_whole_pack() -> None:
    build = {"battery": {"chemistry": "lipo", "cells": 6}}
    assert battery({"battery": {"cell_warn_v": 3.5}}, build)["pack"] == {  # type: ignore[arg-type]
        "full_v": 25.2,
        "empty_v": 19.8,
        "warn_v": 21.0,
    }
    assert battery({}, {})["pack"] == {
        "full_v": Missing(("build.battery.chemistry",)),
        "empty_v": Missing(("build.battery.chemistry",)),
        "warn_v": Missing(("model.battery.cell_warn_v",)),
    }
