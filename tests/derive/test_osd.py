from __future__ import annotations

from typing import Any

import pytest

from cfgaudit.derive.missing import Missing
from cfgaudit.derive.osd import osd
from cfgaudit.derive.tree import Tree


def figures(settings: Tree, build: Tree | None = None, **others: Any) -> Any:
    return osd({"osd": settings, **others}, build or {})


@pytest.mark.parametrize(
    ("settings", "size"),
    [
        ({"drive": "chip", "standard": "pal"}, "30x16"),
        ({"drive": "chip", "standard": "ntsc"}, "30x13"),
        # the chip has its own canvas, whatever else is set
        ({"drive": "chip", "standard": "pal", "columns": 53, "rows": 20}, "30x16"),
        ({"drive": "displayport", "standard": "hd", "columns": 53, "rows": 20}, "53x20"),
        ({"drive": "displayport", "standard": "ntsc"}, "30x13"),
    ],
)
def test_canvas(settings: Tree, size: str) -> None:
    assert figures(settings)["canvas"]["size"] == size


@pytest.mark.parametrize(
    ("settings", "needs"),
    [
        ({}, ("model.osd.drive",)),
        ({"drive": "chip"}, ("model.osd.standard",)),
        ({"drive": "chip", "standard": "hd"}, ("model.osd.standard",)),
        ({"drive": "displayport"}, ("model.osd.columns", "model.osd.rows")),
        ({"drive": "displayport", "standard": "hd", "columns": 53}, ("model.osd.rows",)),
    ],
)
def test_no_canvas(settings: Tree, needs: tuple[str, ...]) -> None:
    canvas = figures(settings)["canvas"]
    assert isinstance(canvas, Missing)
    assert canvas.needs == needs


def test_carriers() -> None:
    drive: Tree = {"drive": "displayport"}
    assert figures(drive, ports={"UART4": {"functions": ["displayport"]}, "UART6": {}})["carriers"] == [
        "UART4"
    ]
    assert figures(drive, ports={"UART4": {"functions": []}})["carriers"] == []
    silent = figures(drive, ports={"UART4": {"functions": []}, "UART6": {}})["carriers"]
    assert silent == Missing(("model.ports.UART6.functions",))
    assert figures(drive)["carriers"] == Missing(("model.ports",))


def test_element_of_unknown_width() -> None:
    elements: Tree = {
        "inside": {"column": 3, "row": 2, "shown": True},
        "outside": {"column": 30, "row": 2, "shown": True},
        "hidden": {"column": 30, "row": 2, "shown": False},
    }
    found = figures({"drive": "chip", "standard": "pal", "elements": elements})["element"]
    assert found["inside"]["outside"] == Missing(("model.osd.elements.inside.width",))
    assert found["outside"]["outside"] is True
    assert found["outside"]["over"] == Missing(("model.osd.elements.inside.width",))
    assert found["hidden"]["outside"] is False
    assert found["hidden"]["shown"] is False


def test_both_kinds_of_video() -> None:
    build: Tree = {
        "devices": [
            {"kind": "analogue camera", "name": "camera"},
            {"kind": "digital video", "name": "unit", "job": "displayport", "canvas": ["53x20", "odd"]},
        ]
    }
    found = figures({"drive": "chip"}, build)
    assert found["wanted"] == ["displayport", "chip"]
    assert found["wanted_by"] == ["unit", "camera"]
    assert found["wanted_index"] == 1
    assert found["unit"]["unit"]["sizes"] == ["53x20"]
