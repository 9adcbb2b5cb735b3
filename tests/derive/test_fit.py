"""Frames from mixers: each layout's own mixer fits it and no other, however it is scaled."""

from __future__ import annotations

import math
from random import Random

import pytest

from cfgaudit.derive.mixer.fit import fit
from cfgaudit.derive.mixer.frame import ANGLES, Row, duty, place_of
from tests.published.rows import rows

STACKED = {"x8": 2, "y6": 2}


def mixer(layout: str, random: Random | None = None) -> tuple[dict[str, Row], dict[str, str]]:
    """A layout's mixer, its motors in any order, and the places that they have."""
    places = [at for at in ANGLES[layout] for _ in range(STACKED.get(layout, 1))]
    if random:
        random.shuffle(places)
    numbered = {str(n): at for n, at in enumerate(places, 1)}
    spins = ("clockwise", "counter-clockwise")
    return {
        number: duty(*place_of(layout, at), spins[int(number) % 2]) for number, at in numbered.items()
    }, numbered


@pytest.mark.parametrize("layout", ANGLES)
def test_a_layout_s_own_mixer_fits_it(layout: str) -> None:
    random = Random(3)
    for _ in range(20):
        made, places = mixer(layout, random)
        found = fit(made)
        assert found
        assert (found.layout, found.places) == (layout, places)
        assert fit(made, layout) == found


@pytest.mark.parametrize("layout", ANGLES)
def test_as_mixers_are_scaled(layout: str) -> None:
    """Each axis by its own factor, rounded to hundredths as settings are."""
    for roll, pitch in ((1, 1), (1, 0.8), (0.7, 1), (2, 2)):
        made, places = mixer(layout)
        scaled = {
            n: Row(1, round(row.roll * roll, 2), round(row.pitch * pitch, 2), row.yaw)
            for n, row in made.items()
        }
        found = fit(scaled, layout)
        assert found
        assert found.places == places


@pytest.mark.parametrize("layout", ANGLES)
def test_one_motor_in_another_s_place_fits_no_more(layout: str) -> None:
    made, _ = mixer(layout)
    first, *_, other = made
    assert fit({**made, first: made[other]}, layout) is None


@pytest.mark.parametrize("layout", ANGLES)
def test_a_motor_in_the_middle_fits_nowhere(layout: str) -> None:
    made, _ = mixer(layout)
    assert fit({**made, "1": Row(1, 0, 0, 1)}) is None


def test_numbers_that_no_layout_has() -> None:
    made, _ = mixer("quad-x")
    assert fit({}) is None
    assert fit({"1": made["1"]}) is None
    assert fit({**made, "5": made["1"]}) is None
    assert fit(made, "no-such-frame") is None


def test_published_mixers() -> None:
    """facts/mixer_signs_frd.csv: rigid-body statics of three frames, by hand."""
    for name, layout in (("quad_x", "quad-x"), ("quad_plus", "quad-plus"), ("hex_x", "hexa-x")):
        of_frame = [row for row in rows("mixer_signs_frd") if row["frame"] == name]
        made = {
            str(n): Row(1, -float(row["y"]), float(row["x"]), float(row["yaw"]))
            for n, row in enumerate(of_frame)
        }
        found = fit(made)
        assert found
        assert found.layout == layout
        for n, row in enumerate(of_frame):
            x, y = place_of(layout, found.places[str(n)])
            assert math.dist((x, y), (float(row["x"]), float(row["y"]))) < 1e-6
