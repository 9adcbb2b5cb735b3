"""The smallest choice of lines that is enough."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.audit.finding import Finding, Level, Mend, Sight
from cfgaudit.compare.blame import lines_shown, smallest
from cfgaudit.model.place import Default, Place

LINES = st.integers(1, 12)
SETS = st.lists(st.frozensets(LINES, min_size=1, max_size=4), max_size=4)


@given(wanted=SETS, lines=st.lists(LINES, unique=True, max_size=12))
def test_what_is_chosen_is_enough_and_none_of_it_can_be_left_out(
    wanted: list[frozenset[int]], lines: list[int]
) -> None:
    def enough(chosen: frozenset[int]) -> bool:
        return any(one <= chosen for one in wanted)

    chosen = frozenset(smallest(lines, enough))
    if not enough(frozenset(lines)):
        assert chosen == frozenset()
        return
    assert enough(chosen)
    assert chosen <= {*lines}
    assert not any(enough(chosen - {one}) for one in chosen)


def test_few_questions_for_one_of_many_lines() -> None:
    asked = []

    def enough(chosen: frozenset[int]) -> bool:
        asked.append(chosen)
        return 777 in chosen

    assert smallest(range(1, 1001), enough) == (777,)
    assert len(asked) < 25


def test_lines_of_the_same_number_in_two_files_are_two() -> None:
    places = (Place("one.txt", 3, 1), Place("two.txt", 3, 5), Default("plover"))
    found = tuple(Sight(place, "") for place in places)
    finding = Finding(
        "a/rule", Level.ERROR, "", "model.loop", "", "", "", "", (), found, Mend((), ()), figures=()
    )
    assert lines_shown(finding) == {("one.txt", 3), ("two.txt", 3)}
