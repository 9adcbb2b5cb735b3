"""Texts that no dialect knows, of many trades: exactly what changed is told."""

from __future__ import annotations

from time import perf_counter

import pytest

from cfgaudit.compare.change import Weight
from cfgaudit.compare.plain.compare import reordered
from cfgaudit.compare.plain.keys import LIST, key_length
from cfgaudit.compare.plain.lines import plain_sides, remarks_apart
from cfgaudit.dump.family import family_of
from cfgaudit.dump.text import Text
from cfgaudit.model.refusal import Refusal
from tests.compare.plain_texts import (
    BOOT,
    KERNEL,
    LATHE,
    MODEM,
    MOUNT,
    PRINTER,
    ROWS,
    SECTIONS,
    TABLE,
    TRADES,
    Trade,
    compared,
    told,
)

EACH = pytest.mark.parametrize("trade", TRADES, ids=lambda trade: trade.name)


def rows(*lines: str) -> frozenset[tuple[str, ...]]:
    return frozenset(tuple(line.split()) for line in lines)


@EACH
def test_what_changed_is_told(trade: Trade) -> None:
    assert told(trade.before, trade.after) == list(trade.told)


@EACH
def test_the_way_back_is_the_mirror(trade: Trade) -> None:
    back = told(trade.after, trade.before)
    assert sorted((subject, set(was), set(now)) for subject, _, now, was in back) == sorted(
        (subject, set(was), set(now)) for subject, _, was, now in trade.told
    )


@EACH
def test_a_text_says_what_it_says(trade: Trade) -> None:
    for text in (trade.before, trade.after):
        assert compared(text, text).same
        assert compared(text, text.replace("\n", "\r\n")).same


@EACH
def test_nothing_is_weighed(trade: Trade) -> None:
    changes = compared(trade.before, trade.after).changes
    assert {(one.weight, one.paths, one.effect) for one in changes} == {(Weight.REST, (), "")}


def test_places_point_at_the_setting() -> None:
    change = compared(MODEM.before, MODEM.before.replace("K2:043", "K2:044")).changes[0]
    assert (*map(str, change.before), *map(str, change.after)) == ("a:1:15", "b:1:15")


def test_settings_are_counted() -> None:
    assert compared(BOOT.before, BOOT.after).settings_b == 6
    assert compared(MODEM.before, MODEM.after).settings_a == 8


def test_remarks_are_counted_and_not_compared() -> None:
    a, b = plain_sides(Text("a", KERNEL.before, "utf-8", False), Text("b", KERNEL.after, "utf-8", False))
    assert (remarks_apart(a, b), remarks_apart(b, a), remarks_apart(a, a)) == (1, 1, 0)


@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [
        ("a = 1\na = 2\na = 1", "a = 1", []),  # not all different: the last one wins
        ("a = 1\na = 2", "a = 2\na = 1", []),  # all different: a list
        ("a = 1\na = 2", "a = 1\na = 3", [("a", "2 → 3")]),
        ("a = 1", "a = 1\na = 2", [("a", "appeared: 2")]),
        ("a 1\na 1 2", "a 1 2\na 1", []),
        ("link u1 x\nlink u1 y\nlink u1 z", "link u1 x\nlink u1 z", [("link", "gone: u1 y")]),
        # leading cells that are never unique: a multiset
        ("p 1 1 1 1 5\np 1 1 1 1 6", "p 1 1 1 1 6\np 1 1 1 1 7", [("p 1 1 1 1", "5 → 7")]),
        (
            "p 1 1 1 1 5\np 1 1 1 1 6\np 1 1 1 1 6\np 1 1 1 1 6",
            "p 1 1 1 1 6\np 1 1 1 1 5",
            [("p", "gone 2 times: 1 1 1 1 6")],
        ),
    ],
)
def test_repeated_lines(before: str, after: str, expected: list[tuple[str, str]]) -> None:
    assert [(subject, text) for subject, text, *_ in told(before, after)] == expected


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("rate 350\n", "rate   350  \n"),
        ("rate 350\n", "rate 350 # in mm\n"),
        ("rate = 350\n", "rate=350\n"),
        ("rate = 350\n", "rate := 350\n"),
        ("rate 350\n", "\n~ a remark\n  rate 350\n\n// another\n! one more"),
        ("a 1\nb 2\n", "a 1\n  b 2\n"),  # indented by accident: no scope, since one text alone has it
        ("{\na 1\n}\n", "a 1\n"),
    ],
)
def test_layout_and_remarks_say_nothing(before: str, after: str) -> None:
    assert told(before, after) == []


@pytest.mark.parametrize(("before", "after"), [("16", "0x10"), ("1", "1.0"), ("on", "On"), ("1 2", "2 1")])
def test_written_differently_is_a_change(before: str, after: str) -> None:
    assert told(f"rate {before}", f"rate {after}") == [("rate", f"{before} → {after}", (1,), (1,))]


@pytest.mark.parametrize(
    ("before", "after", "lists"),
    [
        ("bank 1\ngain 4\nbank 2\ngain 5", "bank 1\ngain 5\nbank 2\ngain 4", ("gain",)),
        ("[x]\na = 1\na = 2\nb = 1", "[x]\nb = 1\na = 2\na = 1", ("[x] a",)),
        ("a 1\na 2\na 3", "a 1\na 3", ()),
        ("a 1\na 2\nb 3", "b 3\na 1\na 2", ()),
    ],
)
def test_order_in_lists_is_seen(before: str, after: str, lists: tuple[str, ...]) -> None:
    sides = plain_sides(Text("a", before, "utf-8", False), Text("b", after, "utf-8", False))
    assert reordered(*sides) == lists


@pytest.mark.parametrize(
    ("before", "after", "subject", "text"),
    [
        ("[x]\nset a = 1\nset b = 2", "[x]\nset b = 3\nset a = 1", "[x] set b", "2 → 3"),
        ("[x]\nturn a 2 ; fast", "[x]\nturn a 3 ; slow", "[x] turn", "a 2 → a 3"),
        ("export A=1\nexport B=2", "export A=1\nexport B=3", "export B", "2 → 3"),
        ("a;1;2\nb;2;3", "b;2;4\na;1;2", "b", "2;3 → 2;4"),
        (",1\n,2\n,3", ",1\n,2\n,4", "(empty)", "3 → 4"),
        ("gain[0],5\ngain[1],6", "gain[1],7\ngain[0],5", "gain[1]", "6 → 7"),
        ("link a x,y\nlink b x,y", "link a x,z\nlink b x,y", "link a", "x,y → x,z"),  # no table
        ('{\n  "a": 1,\n  "b": [1]\n}', '{\n  "a": 2,\n  "b": [1]\n}', '"a":', "1, → 2,"),
        (
            "base {\n  lan 1 {\n    on 1\n  }\n}",
            "base {\n  lan 1 {\n    on 2\n  }\n}",
            "base / lan / on",
            "1 → 2",
        ),
        (
            "bank 1 fast\n  gain 4\nbank 2 slow",
            "bank 1 fast\n  gain 5\nbank 2 slow",
            "bank 1 / gain",
            "4 → 5",
        ),
        ("/net/a 1\r-v 2\r", "-v 3\r/net/a 1\r", "-v", "2 → 3"),
        ('name "a b" # x\nnext "torn', 'name "a c" # y\nnext "torn', "name", '"a b" → "a c"'),
    ],
)
def test_ways_of_writing(before: str, after: str, subject: str, text: str) -> None:
    assert [one[:2] for one in told(before, after)] == [(subject, text)]


@pytest.mark.parametrize(
    ("text", "family"),
    [
        (MOUNT.before, "columns"),
        (MOUNT.after, "columns"),
        (LATHE.before, "columns"),
        (LATHE.after, "columns"),
        (PRINTER.before, "console"),
        (BOOT.before, "console"),
        (KERNEL.before, "console"),
        (MODEM.before, "console"),
        (TABLE.before, "console"),  # a table is no list of names and values
        (ROWS.before, "console"),
        (SECTIONS.before, "sectioned"),
        (MOUNT.before + "[park]\n", "sectioned"),
        ("GAIN,5\n", "console"),  # too few lines to tell
        ("gain 5\nlean 6\nflap 7\nlift 8\nroll 9\nyaw 10\nhold 11\nfall 12\n", "console"),
        ("\n".join(f"link u{n} {n}" for n in range(20)), "console"),
        ("\n".join(f"GAIN_{n} = {n}" for n in range(20)), "console"),
        ("\n".join(f"GAIN_{n}, = {n}" for n in range(20)), "console"),
        ("\n".join(f"GAIN_{n} : {n}" for n in range(20)), "console"),
        ("\n".join(f"GAIN_{n} {n}" for n in range(20)), "columns"),
        ("\n".join(f"gain{n}\t{n} # x" for n in range(20)), "columns"),
        ("\n".join(f"GAIN_{n} {n} {n} {n}" for n in range(20)), "console"),
        ("\n".join(f"GAIN_{n % 3} {n}" for n in range(20)), "console"),
        ("\n".join(f"{'GAIN' if n % 2 else 'gain'}_{n} {n}" for n in range(20)), "console"),
    ],
)
def test_families_without_a_dialect(text: str, family: str) -> None:
    for end in ("\n", "\r\n", "\r"):
        assert family_of([Text("a", text.replace("\n", end), "utf-8", False)]) == family


def test_the_last_of_lines_typed_again_below_wins_in_columns() -> None:
    changed = MOUNT.before + "GUIDE_RATE,0.9\nTONE,6\nTONE,4\nTONE,6\n"
    found = {subject: text for subject, text, *_ in told(MOUNT.before, changed)}
    assert found == {"GUIDE_RATE": "appeared: 0.9", "TONE": "4 → 6"}


def test_aligned_numbers_are_no_outline() -> None:
    text = "   1 north\n  10 south\n 100 east\n1000 west\n"
    assert told(text, "".join(reversed(text.splitlines(keepends=True)))) == []


def test_an_outline_within_sections() -> None:
    before = "[far]\n\tgate a\n\t\topen 4\n\tgate b\n\t\topen 4\n[near]\n\tgate a\n\t\topen 4\n"
    after = "[near]\n\tgate a\n\t\topen 4\n[far]\n\tgate b\n\t\topen 5\n\tgate a\n\t\topen 4\n"
    assert told(before, after) == [("[far] gate b / open", "4 → 5", (5,), (6,))]


@pytest.mark.parametrize(
    ("before", "after", "length"),
    [
        (rows("a 1"), rows("a 2"), 1),
        (rows("a x 1", "a y 2"), rows("a x 1"), 2),
        (rows("a x 1 5", "a x 2 5", "a y 1 5"), rows("a x 1 5"), 3),
        (rows("a x 1 4 5", "a x 1 6 5"), rows(), 4),
        (rows("a x", "a y"), rows("a x"), LIST),
        (rows("a w 1", "a x 1", "a y 1", "a y 2"), rows("a x 1"), 2),  # one typed again
        (rows("a x 1", "a y 1", "a y 2"), rows("a x 1"), LIST),
        (rows(), rows("a"), 1),
    ],
)
def test_key_lengths(
    before: frozenset[tuple[str, ...]], after: frozenset[tuple[str, ...]], length: int
) -> None:
    assert key_length(before, after) == length


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "there is no setting"),
        ("# only\n\n# remarks\n[empty]\n", "there is no setting"),
        ("\0\1\2\x80" * 50, "this is no text"),
        ("ab\x0e\x0f" * 9, "this is no text"),
    ],
)
def test_what_cannot_be_compared(text: str, what: str) -> None:
    for pair in ((text, "a 1"), ("a 1", text)):
        with pytest.raises(Refusal, match=what):
            compared(*pair)


def test_twenty_thousand_lines() -> None:
    def text(count: int) -> str:
        kinds = (
            "name.{n} = {v}",
            "link u{n} {v} on",
            "cell {m} {n} {v}",
            "allow 10.0.{m}.{n}",
            "sum 1 1 1 1 {v}",
        )
        return "\n".join(kinds[n % 5].format(n=n, m=n % 7, v=n * 3 % 1000) for n in range(count))

    def took(count: int) -> float:
        one, other = text(count), text(count).replace(" 93 on", " 98 on")
        start = perf_counter()
        assert compared(one, other).changes
        return perf_counter() - start

    took(1000)  # the grammar's tables are made once
    assert took(20_000) < 8
    assert took(20_000) < 8 * took(5000) + 0.5
