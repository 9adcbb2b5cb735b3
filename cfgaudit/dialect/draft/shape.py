"""A dump → groups of lines of one shape: assignments, rows by keyword and count of cells, scopes."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.dialect.draft.group import Group, Opening, Said, Sketch, words_of
from cfgaudit.dialect.draft.head import separator_of
from cfgaudit.dialect.draft.look import flag, kind, numbered, pins, pulses, rates
from cfgaudit.dialect.template import line as template_of
from cfgaudit.dump.read import Dump
from cfgaudit.dump.statement import Kind, Statement

MOST_CELLS = 12  # of a row; more are taken together
NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_./-]*(\[[A-Za-z0-9_.-]*\])?")
OPERATORS = ("=", ":=", ":")
# Words that only join the cells of a row; another word that never changes may be a value.
JOINS = frozenset(
    {"a", "an", "and", "as", "at", "by", "does", "every", "for", "from", "has", "in", "into", "is", "lane"}
    | {"of", "on", "onto", "over", "per", "pin", "rate", "runs", "serves", "shows", "sits", "speed", "takes"}
    | {"the", "till", "to", "turns", "until", "via", "with", "works", "drives", "uses", "carries"}
)

_DIGITS = re.compile(r"[0-9]+")
_CELL = re.compile(r"[a-z][a-z0-9_]{0,16}")


class _At(Struct, frozen=True):
    """A line and the scope that it stands in."""

    statement: Statement
    words: tuple[str, ...]
    opens: str = ""
    outer: tuple[str, ...] = ()
    head: str = ""  # the section or selector line, as it stands in the dump

    @property
    def said(self) -> Said:
        """The line as teaching keeps it."""
        return Said(self.head, self.statement.shown)


def sketch(dump: Dump) -> Sketch:
    """The shape of a dump, read by the grammar of a family."""
    told = [one for one in dump.statements if one.kind not in (Kind.BLANK, Kind.REMARK)]
    lines = [_At(one, one.words) for one in told if one.kind is not Kind.STRAY]
    astray = tuple(one.line for one in told if one.kind is Kind.STRAY)
    if dump.family == "columns":
        return _columns(lines, separator_of(dump), astray)
    assignment = _assignment(lines)
    openings, placed = _sections(lines) if dump.family == "sectioned" else _selected(lines, assignment)
    return Sketch(
        dump.family,
        assignment,
        openings,
        tuple(_groups(placed, assignment)),
        astray,
    )


def _columns(lines: Sequence[_At], separator: str, astray: tuple[int, ...]) -> Sketch:
    """A name and its values on each line; a name that comes again with other values is a row's keyword."""
    groups = _groups(lines, "{name} {value}", columns=True)
    return Sketch(
        "columns",
        f"{{name}}{separator}{{value}}",
        (),
        # the templates' words hold no blanks: those stand between them
        tuple(replace(one, line=one.line.replace(" ", separator)) for one in groups),
        astray,
        separator,
    )


# How a setting is written


def _assignment(lines: Sequence[_At]) -> str:
    """The commonest way in which a name gets a value."""
    ways: Counter[str] = Counter()
    styles: dict[str, Counter[str]] = defaultdict(Counter)
    rows: dict[str, list[tuple[str, ...]]] = defaultdict(list)
    for one in lines:
        if one.statement.kind is Kind.ASSIGNMENT:
            n = _operator(one.words)
            if n and all(map(_fixed, one.words[: n - 1])):
                way = " ".join([*one.words[: n - 1], "{name}", one.words[n], "{value}"])
                ways[way] += 1
                if len(one.words) > n + 1:
                    styles[way][_set_apart(way, one, n)] += 1
        elif one.statement.kind is Kind.ROW:
            rows[one.words[0]].append(one.words)
    ways.setdefault("{name} = {value}", 0)
    for keyword, cells in rows.items():
        if len(cells) >= 6 and _fixed(keyword) and _are_settings(cells):
            ways[f"{keyword} {{name}} {{value}}"] += len(cells)
    bare = [cells[0] for cells in rows.values() if len(cells) == 1 and len(cells[0]) == 2]
    if all(NAME.fullmatch(words[0]) for words in bare):
        ways["{name} {value}"] += len(bare) if len(bare) > 6 else 0
    way = max(ways, key=lambda way: ways[way])
    return max(styles[way], key=lambda style: styles[way][style], default=way)


def _are_settings(rows: Sequence[tuple[str, ...]]) -> bool:
    """Whether rows are a keyword, a setting's name and its value: there are values of all kinds."""
    names = {words[1] for words in rows if len(words) == 3}
    kinds = {kind(words[2]) for words in rows if len(words) == 3}
    return (
        all(len(words) == 3 and NAME.fullmatch(words[1]) for words in rows)
        and len(names) > 0.8 * len(rows)
        and len(kinds) > 2
    )


def _words(assignment: str) -> list[str]:
    """The words of an assignment, its operator apart."""
    return [word.text for word in template_of(assignment, operators=True).words]


def _set_apart(way: str, one: _At, n: int) -> str:
    """A way to write an assignment, with blanks around its operator, the n-th word, where a line has them."""
    before, start, end, after = one.statement.spans[2 * n - 1 : 2 * n + 3]
    sign = one.words[n]
    return way.replace(f" {sign} ", f"{' ' * (start > before)}{sign}{' ' * (after > end)}")


def _operator(words: Sequence[str]) -> int:
    return next((n for n, word in enumerate(words) if n and word in OPERATORS), 0)


def _fixed(word: str) -> bool:
    """Whether a word can stand in a template as it is."""
    return len(word) <= 60 and word.isprintable() and not set(word) & set('{}="')


def _opening(word: str) -> bool:
    """Whether a word can stand as it is in a line that opens a scope."""
    return _fixed(word) and not set(word) & set("[]")


def _setting(one: _At, assignment: str) -> str:
    """The name of the setting that a line writes as an assignment says, or ""."""
    pattern = _words(assignment)[:-1]
    words = one.words
    if len(words) < len(pattern) or (one.statement.kind is Kind.ASSIGNMENT) != (pattern[-1] in OPERATORS):
        return ""
    name = ""
    for want, have in zip(pattern, words, strict=False):
        if want == "{name}":
            name = have
        elif want != have:
            return ""
    if pattern == ["{name}"] and len(words) != 2:
        return ""
    if pattern[-1] == "{name}" and len(pattern) == 2 and len(words) != 3:
        return ""
    return name if len(name) <= 80 and NAME.fullmatch(name) else ""


# Scopes


def _sections(lines: Sequence[_At]) -> tuple[tuple[Opening, ...], list[_At]]:
    """Sections, grouped by their words, and the lines in each."""
    seen = {one.words: one.statement.line for one in reversed(lines) if one.statement.kind is Kind.SECTION}
    heads = dict(sorted(seen.items(), key=lambda item: item[1]))
    templates = {words: made for group in _alike(heads).values() for words, made in _opens(group).items()}
    openings: dict[str, Opening] = {}
    for words, (opens, cells, texts) in templates.items():
        known = openings.get(opens) or Opening(opens, cells, (), heads[words])
        openings[opens] = Opening(opens, cells, (*known.rows, texts), min(known.first, heads[words]))
    placed = []
    here: tuple[str, tuple[str, ...], str] | None = ("", (), "")
    for one in lines:
        if one.statement.kind is Kind.SECTION:
            found = templates.get(one.words)
            here = (found[0], found[2], one.statement.shown) if found else None
        elif here is not None:
            placed.append(_At(one.statement, one.words, *here))
    ordered = sorted(openings.values(), key=lambda one: (one.opens.startswith("{"), one.first))
    return tuple(ordered), placed


Heads = Mapping[tuple[str, ...], int]


def _alike(heads: Heads) -> Mapping[object, list[tuple[str, ...]]]:
    """Section names of one kind: the same first word, or the same word before a number."""
    groups: dict[object, list[tuple[str, ...]]] = defaultdict(list)
    for words in heads:
        if len(words) == 1 and (parts := _stem(words[0])):
            groups["stem", parts[0], parts[2]].append(words)
        else:
            groups[words[0], len(words)].append(words)
    return groups


def _stem(word: str) -> tuple[str, str, str] | None:
    """A word around its last number: ``uart4`` → ("uart", "4", "")."""
    found = [*_DIGITS.finditer(word)]
    if not found or not _opening(word):
        return None
    start, end = found[-1].span()
    return (word[:start], word[start:end], word[end:]) if start else None


Made = tuple[str, tuple[str, ...], tuple[str, ...]]  # template, cells, their texts


def _opens(group: Sequence[tuple[str, ...]]) -> Mapping[tuple[str, ...], Made]:
    """The template of section names of one kind."""
    width = len(group[0])
    if width == 1 and len(group) > 1:
        made = {}
        for words in group:
            before, number, after = _stem(words[0]) or ("", "", "")
            made[words] = (f"{before}{{which}}{after}", ("which",), (number,))
        return made
    varies = [n for n in range(width) if len({words[n] for words in group}) > 1 or not _opening(group[0][n])]
    if len(group) == 1 and width > 1 and kind(group[0][-1]) in ("whole", "numbered"):
        varies = sorted({*varies, width - 1})
    names = tuple(f"which{n + 1 if n else ''}" for n in range(len(varies)))
    cell = dict(zip(varies, names, strict=True))
    opens = " ".join(f"{{{cell[n]}}}" if n in cell else word for n, word in enumerate(group[0]))
    return {words: (opens, names, tuple(words[n] for n in varies)) for words in group}


def _selected(lines: Sequence[_At], assignment: str) -> tuple[tuple[Opening, ...], list[_At]]:
    """Selector lines, known by what repeats under each of them, and the lines under them."""
    selectors = _selectors(lines, assignment)
    openings: dict[str, Opening] = {}
    under: list[_At] = []
    opened: set[tuple[str, ...]] = set()
    here: tuple[str, tuple[str, ...], str] = ("", (), "")
    for one in lines:
        if _selects(one) and one.words[0] in selectors:
            opens = f"{one.words[0]} {{which}}"
            known = openings.get(opens) or Opening(opens, ("which",), (), one.statement.line)
            openings[opens] = Opening(opens, ("which",), (*known.rows, one.words[1:]), known.first)
            # a profile that is chosen again is only chosen: what follows belongs to no profile
            chosen = one.words in opened
            here = ("", (), "") if chosen else (opens, one.words[1:], one.statement.shown)
            opened.add(one.words)
        else:
            under.append(_At(one.statement, one.words, *here))
    return tuple(openings.values()), [*_shared(under, openings, assignment)]


def _shared(lines: Sequence[_At], openings: Mapping[str, Opening], assignment: str) -> Iterator[_At]:
    """The lines, those outside again that stand under a few selector lines only."""
    stands: dict[object, set[tuple[str, ...]]] = defaultdict(set)
    for one in lines:
        stands[one.opens, _identity(one, assignment)].add(one.outer)
    for one in lines:
        of = openings.get(one.opens)
        enough = of is None or 2 * len(stands[one.opens, _identity(one, assignment)]) >= len(set(of.rows))
        yield one if enough else _At(one.statement, one.words)


def _selects(one: _At) -> bool:
    return one.statement.kind is Kind.ROW and len(one.words) == 2 and _opening(one.words[0])


def _identity(one: _At, assignment: str) -> object:
    name = _setting(one, assignment)
    if name:
        return name
    n = _operator(one.words) if one.statement.kind is Kind.ASSIGNMENT else 0
    return one.words[: n or min(2, max(1, len(one.words) - 1))]


def _selectors(lines: Sequence[_At], assignment: str) -> set[str]:
    """Keywords of two-word rows under whose values the same things are said again."""
    values: dict[str, set[str]] = defaultdict(set)
    for one in lines:
        if _selects(one):
            values[one.words[0]].add(one.words[1])
    chosen = {keyword for keyword, seen in values.items() if 2 <= len(seen) <= 40}
    told = [(one.words, _identity(one, assignment), _selects(one)) for one in lines]
    while chosen:
        credit = _credit(told, chosen)
        if credit == chosen:
            break
        chosen = credit
    return chosen


def _credit(told: Iterable[tuple[tuple[str, ...], object, bool]], chosen: set[str]) -> set[str]:
    stands: dict[object, set[tuple[str, ...]]] = defaultdict(set)
    here: tuple[str, ...] = ()
    for words, identity, selects in told:
        if selects and words[0] in chosen:
            here = words
        else:
            stands[identity].add(here)
    return {
        keyword
        for found in stands.values()
        if len(found) > 1 and () not in found and len({one[0] for one in found}) == 1
        for keyword in {one[0] for one in found}
    }


# Groups


def _groups(lines: Sequence[_At], assignment: str, columns: bool = False) -> Iterator[Group]:
    """The groups of every scope, in the order of their first lines; no template comes twice."""
    keywords = _keywords(lines) if columns else frozenset()
    settings: dict[str, dict[str, list[_At]]] = defaultdict(lambda: defaultdict(list))
    rows: dict[tuple[str, str], list[_At]] = defaultdict(list)
    for one in lines:
        name = _named(one, keywords) if columns else _setting(one, assignment)
        if name:
            settings[one.opens][name].append(one)
        else:
            rows[one.opens, one.words[0]].append(one)
    made = [
        group for opens, named in settings.items() for group in _settings(opens, named, assignment, columns)
    ]
    made += [group for (opens, _), found in rows.items() for group in _rows(opens, found)]
    once = {group.place: group for group in made}
    yield from sorted(once.values(), key=lambda group: group.first)


def _keywords(lines: Iterable[_At]) -> frozenset[str]:
    """The first words of columns that name no setting: they come again with other values behind them."""
    seen: dict[str, set[tuple[str, ...]]] = defaultdict(set)
    for one in lines:
        seen[one.words[0]].add(one.words)
    return frozenset(
        name for name, rows in seen.items() if len(rows) > 1 and any(len(words) > 2 for words in rows)
    )


def _named(one: _At, keywords: frozenset[str]) -> str:
    """The name of the setting that a line of columns is of, or ""."""
    name = one.words[0]
    sound = len(one.words) > 1 and len(name) <= 80 and NAME.fullmatch(name)
    return name if sound and name not in keywords else ""


def _settings(
    opens: str, named: Mapping[str, list[_At]], assignment: str, columns: bool = False
) -> Iterator[Group]:
    """Settings by their names; those whose names differ in one number are lines of one form."""
    skip = len(_words(assignment)) - 1
    several = [name for name, lines in named.items() if all(len(one.words) > skip + 1 for one in lines)]
    indexed = {**_indexed(several, 1), **_indexed(named, 1 if columns else 2)}
    taken = set()
    for (before, after), members in indexed.items():
        lines = [(member, one) for member in members for one in named[f"{before}{member}{after}"]]
        cells, values = _values([one for _, one in lines], skip)
        if columns and cells == ("value",) and all(len(one.words) == 2 for _, one in lines):
            cells = (_called(before, after),)
            values = [f"{{{cells[0]}}}"]
        template = assignment.replace("{name}", f"{before}{{n}}{after}")
        taken |= {f"{before}{member}{after}" for member in members}
        texts = [((member, *_cut(one, skip, cells)), one) for member, one in lines]
        for written, rows in _by_stem(values, texts) if columns and len(cells) > 1 else [(values, texts)]:
            line = template.replace("{value}", " ".join(written))
            yield _group(opens, line, ("n", *cells), rows, key=("n",))
    for name, found in named.items():
        if name in taken:
            continue
        cells, values = _values(found, skip)
        if len(cells) > 1 and len(found) > 1:
            template = assignment.replace("{name}", name).replace("{value}", " ".join(values))
            yield _group(opens, template, cells, [(_cut(one, skip, cells), one) for one in found], key=())
        else:
            yield Group(
                opens, name, True, ("value",), tuple((_rest(one, skip),) for one in found),
                tuple(one.outer for one in found), found[0].statement.line,
                said=tuple(one.said for one in found),
            )  # fmt: skip


_Cut = tuple[tuple[str, ...], _At]  # the texts of a line's cells, the index first, and the line


def _by_stem(values: list[str], lines: list[_Cut]) -> Iterator[tuple[list[str], list[_Cut]]]:
    """Lines apart where a cell is a word with a number behind it in several, and another word in others."""
    for n, value in enumerate(values, 1):
        column = [texts[n] for texts, _ in lines]
        stems = Counter(parts[0] for text in column if (parts := numbered(text)))
        if len(stems) != 1 or pins([text.upper() for text in column]):
            continue
        ((stem, count),) = stems.items()
        if count > 1:
            at = len(stem)
            same = [
                ((*texts[:n], texts[n][at:], *texts[n + 1 :]), one)
                for texts, one in lines
                if numbered(texts[n])
            ]
            yield [*values[: n - 1], f"{stem}{value}", *values[n:]], same
            lines = [(texts, one) for texts, one in lines if not numbered(texts[n])]
            break
    if lines:
        yield values, lines


def _called(before: str, after: str) -> str:
    """A name for the cell of the one value: the words of the line's name, best those behind its index."""
    name = "_".join(words_of(after)) or "_".join(words_of(before))
    return name if _CELL.fullmatch(name) and name not in ("n", "name", "which", "rest") else "value"


def _indexed(names: Iterable[str], least: int) -> Mapping[tuple[str, str], list[str]]:
    """(text before, text after) → the numbers between them, for names that differ in one number.

    ``least`` characters stand before it.
    """
    found: dict[tuple[str, str], list[str]] = defaultdict(list)
    every = list(names)
    for name in every:
        for number in _DIGITS.finditer(name):
            if number.start() >= least:
                found[name[: number.start()], name[number.end() :]].append(number[0])
    best: dict[tuple[str, str], list[str]] = defaultdict(list)
    for name in every:
        ways = [
            (name[: number.start()], name[number.end() :], number[0]) for number in _DIGITS.finditer(name)
        ]
        ways = [way for way in ways if len(found.get(way[:2], ())) > 1 and _fixed(way[0] + way[1])]
        if ways:
            before, after, member = max(ways, key=lambda way: len(found[way[:2]]))
            best[before, after].append(member)
    return {way: members for way, members in best.items() if len(members) > 1}


def _values(lines: Sequence[_At], skip: int) -> tuple[tuple[str, ...], list[str]]:
    """The cells behind an operator and how the template writes them: one that takes all, or one a word."""
    counts = {len(one.words) - skip for one in lines}
    texts = [one.words[skip:] for one in lines]
    plain = all(word[-1] != "," and not word.startswith('"') for words in texts for word in words)
    if len(counts) == 1 and 1 < (count := next(iter(counts))) <= MOST_CELLS and plain and len(lines) > 1:
        columns = [[words[n] for words in texts] for n in range(count)]
        cells = _names([[], *columns])[1:]  # without n, which may be the name's index
        return cells, [f"{{{cell}}}" for cell in cells]
    return ("value",), ["{value...}"]


def _cut(one: _At, skip: int, cells: Sequence[str]) -> tuple[str, ...]:
    return one.words[skip:] if len(cells) > 1 else (_rest(one, skip),)


def _rest(one: _At, skip: int) -> str:
    """All that is left of a line, as written."""
    spans = one.statement.spans[2 * skip :]
    return one.statement.text[spans[0] : spans[-1]] if spans else ""


def _rows(opens: str, lines: Sequence[_At]) -> Iterator[Group]:
    """Rows of one keyword: by their count of cells, or all together where that varies."""
    by_count: dict[int, list[_At]] = defaultdict(list)
    for one in lines:
        by_count[len(one.words)].append(one)
    if _ends_in_list(lines):
        yield _row(opens, lines, min(by_count) - 1)
        return
    if len(by_count) > 2 or max(by_count) > MOST_CELLS:
        yield _trailing(opens, lines)
        return
    for found in by_count.values():
        for alike in _split(found):
            yield _row(opens, alike)


def _ends_in_list(lines: Sequence[_At]) -> bool:
    """Whether rows end in one word or more, where another dump may have more: all else is alike in them."""
    at = min(len(one.words) for one in lines) - 1
    if at < 2 or at >= MOST_CELLS or not _fixed(lines[0].words[0]):
        return False
    ends = [[word.rstrip(",") for word in one.words[at:]] for one in lines]
    listed = {word for words in ends for word in words}
    if not {kind(word) for word in listed} <= {"word", "numbered", "nothing"}:
        return False
    if len(listed) < 2 or flag([*listed]) or pins([word for word in listed if not word[0].islower()]):
        return False
    if len({len(words) for words in ends}) == 1:
        column = [words[0] for words in ends]  # a number in every word, each once, is an index
        return len(ends[0]) == 1 and not (_common_stem(column) and len(set(column)) == len(column))
    longer = [one for one in lines if len(one.words) > at + 1]
    shorter = [one for one in lines if len(one.words) == at + 1]
    return all(
        {_make(one.words[n]) for one in longer} & {_make(one.words[n]) for one in shorter}
        for n in range(1, at)
    )


def _trailing(opens: str, lines: Sequence[_At]) -> Group:
    shortest = min(len(one.words) for one in lines)
    head = 2 if shortest > 1 else 1
    cells = ("c1", "rest")[2 - head :]
    keyword = lines[0].words[0]
    if not _fixed(keyword):
        rows = [((one.words[0], _rest(one, 1)), one) for one in lines]
        return _group(opens, "{c1} {rest...}", ("c1", "rest"), rows)
    return _group(
        opens,
        " ".join([keyword, *(["{c1}"] if head == 2 else []), "{rest...}"]),
        cells,
        [((*one.words[1:head], _rest(one, head)), one) for one in lines],
        key=("c1",) if head == 2 else (),
    )


def _split(lines: list[_At]) -> Iterator[list[_At]]:
    """Rows of one keyword and count, apart where a word says that the cell behind it is of another kind."""
    width = len(lines[0].words)
    for n in range(1, width - 1):
        said = {one.words[n] for one in lines}
        if not 1 < len(said) <= 4 or not said <= JOINS:
            continue
        kinds = [{_make(one.words[n + 1]) for one in lines if one.words[n] == word} for word in sorted(said)]
        if all(not (one & other) for i, one in enumerate(kinds) for other in kinds[:i]):
            for word in dict.fromkeys(one.words[n] for one in lines):
                yield [one for one in lines if one.words[n] == word]
            return
    yield lines


def _make(text: str) -> str:
    parts = numbered(text)
    return f"numbered {parts[0]}" if parts else kind(text)


def _row(opens: str, lines: Sequence[_At], tail: int = 0) -> Group:
    """The template of rows of one keyword and count: joining words stay, the rest are cells.

    ``tail``: from this word on, counted from 0, all words are one cell.
    """
    width = tail + 1 if tail else len(lines[0].words)
    columns = [[one.words[n] for one in lines] for n in range(width)]
    if tail:
        columns[tail] = [_rest(one, tail) for one in lines]
    stems = {n: stem for n in range(1, width) if n != tail and (stem := _common_stem(columns[n]))}
    free = [n for n in range(width) if not (n == 0 and _fixed(columns[0][0]))]
    free = [n for n in free if not _joins(columns, n)]
    texts = [[text[len(stems.get(n, "")) :] for text in columns[n]] for n in free]
    before = [columns[n - 1][0] if n - 1 not in free and n > 1 else "" for n in free]
    cells = _names(texts, [stems.get(n) or word for n, word in zip(free, before, strict=True)])
    cell = dict(zip(free, cells, strict=True))
    template = " ".join(
        f"{stems.get(n, '')}{{{cell[n]}{'...' * (0 < tail == n)}}}" if n in cell else columns[n][0]
        for n in range(width)
    )
    rows = [tuple(column[i] for column in texts) for i in range(len(lines))]
    return _group(opens, template, cells, list(zip(rows, lines, strict=True)))


def _joins(columns: Sequence[Sequence[str]], n: int) -> bool:
    """Whether a word only joins. What is a word for yes as well does so before a pin."""
    column = columns[n]
    if not 0 < n < len(columns) - 1 or len(set(column)) > 1 or column[0] not in JOINS:
        return False
    return flag(column) is None or pins([text.upper() for text in columns[n + 1]])


def _common_stem(column: Sequence[str]) -> str:
    """The letters that all texts have before a number, unless they may be pins."""
    parts = [numbered(text) for text in column]
    stems = {part[0] for part in parts if part}
    if len(column) < 2 or None in parts or len(stems) != 1 or pins([text.upper() for text in column]):
        return ""
    return next(iter(stems))


def _group(
    opens: str,
    template: str,
    cells: tuple[str, ...],
    rows: Sequence[tuple[tuple[str, ...], _At]],
    key: tuple[str, ...] | None = None,
) -> Group:
    texts = tuple(row for row, _ in rows)
    outer = tuple(one.outer for _, one in rows)
    first = min(one.statement.line for _, one in rows)
    key = _key(cells, texts, outer) if key is None else key
    said = tuple(one.said for _, one in rows)
    return Group(opens, template, False, cells, texts, outer, first, key, said)


def _key(
    cells: tuple[str, ...], rows: Sequence[tuple[str, ...]], outer: Sequence[tuple[str, ...]]
) -> tuple[str, ...]:
    """The shortest run of leading cells that tells the lines apart; of a single line, none."""
    if len(rows) < 2 or len(cells) < 2:
        return () if len(rows) < 2 else cells
    lines = {*zip(rows, outer, strict=True)}  # a line that is there twice is one
    for width in range(1, len(cells) + 1):
        if len({(row[:width], scope) for row, scope in lines}) == len(lines):
            return cells[:width]
    return cells


def _names(columns: Sequence[Sequence[str]], before: Sequence[str] = ()) -> tuple[str, ...]:
    """Names for cells: by what they look like, by the word before them, or by their number."""
    made: list[str] = []
    for n, column in enumerate(columns):
        hint = before[n].lower() if n < len(before) else ""
        if n == 0:
            name = "n" if all(kind(text) == "whole" for text in column) else "id"  # of no texts: n
        elif rates(column):
            name = "rate"
        elif pins(column):
            name = "pin"
        elif pulses(column) and len(column) > 1:
            name = "high" if "low" in made else "low"
        elif _CELL.fullmatch(hint) and hint not in JOINS:
            name = hint
        else:
            name = f"c{n + 1}"
        made.append(name if name not in (*made, "name", "value", "which", "rest") else f"c{n + 1}")
    return tuple(made)
