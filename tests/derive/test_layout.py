from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.derive.canvas import Canvas
from cfgaudit.derive.layout import Element, Spot, covered, spots, unmeasured

PAL = Canvas(30, 16)


def test_the_later_one_in_reading_order_lies_on_the_earlier() -> None:
    voltage, current = Element("voltage", 2, 14, 5), Element("current", 6, 14, 6)
    assert covered(current, [current, voltage]) == (voltage,)
    assert covered(voltage, [current, voltage]) == ()


def test_side_by_side_is_no_overlap() -> None:
    assert covered(Element("b", 7, 1, 6), [Element("a", 2, 1, 5)]) == ()
    assert covered(Element("b", 2, 2, 6), [Element("a", 2, 1, 5)]) == ()


def test_the_horizon_lies_behind() -> None:
    horizon, speed = Element("horizon", 4, 7, 20), Element("speed", 6, 7, 4)
    assert covered(speed, [horizon, speed]) == ()
    assert covered(horizon, [Element("a", 0, 7, 10), horizon]) == ()


def test_only_an_unknown_width_to_the_left_leaves_it_open() -> None:
    left, right = Element("left", 2, 1, None), Element("right", 9, 1, None)
    assert unmeasured(right, [left, right]) == (left,)
    assert unmeasured(left, [left, right]) == ()


def test_what_is_right_stays() -> None:
    assert spots([Element("a", 25, 15, 5)], PAL) == {"a": Spot(25, 15)}


def test_what_sticks_out_is_pulled_in() -> None:
    assert spots([Element("a", 28, 22, 5)], PAL) == {"a": Spot(25, 15)}


def test_what_lies_on_another_goes_beside_it() -> None:
    assert spots([Element("a", 2, 3, 5), Element("b", 6, 3, 6)], PAL)["b"] == Spot(7, 3)


def test_two_that_are_moved_do_not_meet() -> None:
    moved = spots([Element("a", 28, 3, 5), Element("b", 29, 3, 5)], PAL)
    assert moved["a"] != moved["b"]


def test_without_room_it_is_hidden() -> None:
    assert spots([Element("a", 0, 0, 31)], PAL) == {"a": Spot(0, 0, shown=False)}


def test_a_canvas_without_end_takes_no_time() -> None:
    huge = Canvas(10**12, 10**12)
    assert spots([Element("a", 0, 0, 10**9), Element("b", 5, 0, 10**9)], huge)["b"] == Spot(5, 1)


elements = st.lists(
    st.builds(
        Element,
        st.text("abcdefgh", min_size=1, max_size=3),
        st.integers(0, 70),
        st.integers(0, 30),
        st.integers(1, 12),
    ),
    max_size=12,
    unique_by=lambda element: element.name,
)


@given(elements)
def test_whatever_is_moved_ends_inside_and_alone(elements: list[Element]) -> None:
    found = spots(elements, PAL)
    placed = [
        Element(one.name, spot.column, spot.row, one.width)
        for one in elements
        if (spot := found[one.name]).shown
    ]
    for one in placed:
        assert PAL.holds(one.column, one.row, one.reach)
        assert not covered(one, placed)
