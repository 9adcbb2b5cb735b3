"""When a setting changed: the versions of a baseline, each read only as far as it can matter."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from enum import StrEnum

from msgspec import Struct

from cfgaudit.baseline.asked import Asked, Seen, Sight, line_of, matters
from cfgaudit.baseline.facts import LOOKED_AT, NOBODY_SAID, Facts, is_fact, read_facts
from cfgaudit.baseline.log import ABSENT, Commit, Log, Version
from cfgaudit.dialect.read import read_dump
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.recognise import as_dialect
from cfgaudit.dialect.seal import key_of
from cfgaudit.dump.text import Text
from cfgaudit.model.path import Path
from cfgaudit.model.refusal import Refusal

NOT_SAID = "not said"
ANOTHER = "another one"
ANOTHER_KEY = "perhaps another one: not sealed with the same key"


class What(StrEnum):
    """What a commit did."""

    CHANGED = "changed"
    FIRST = "first"  # the file came, and said this
    OLDEST = "oldest"  # the oldest commit that this clone has said this
    GONE = "gone"  # the file was deleted
    UNREADABLE = "unreadable"


NOT_FOUND = Commit("", (), "", "", "in a commit that was not found")


class Event(Struct, frozen=True):
    """One setting in one commit. ``before`` and ``after`` are in a builder's words, with units."""

    commit: Commit
    what: What
    name: str = ""
    line: str = ""  # the firmware's own name of its line
    before: str = ""
    after: str = ""
    private: bool = False
    paths: tuple[Path, ...] = ()
    note: str = ""  # the baseline's, if it is new in this commit


class Unreadable(Struct, frozen=True):
    """A version that is no dump."""

    why: str


_Read = Callable[[bytes], Reading]


class Desk:
    """The versions of a file, each read once and only as far as it can matter for what is asked."""

    def __init__(self, asked: Asked, contents: Mapping[str, bytes], read: _Read) -> None:
        self.asked, self._contents, self._read = asked, contents, read
        self._seen: dict[str, Sight | Unreadable] = {}
        self._fronts: dict[tuple[str, ...], Reading] = {}  # one whole reading for each header
        self._short: dict[str, Sight] = {}
        self.known = False  # whether any version's firmware can say anything of it

    def sight(self, object_id: str) -> Sight | Unreadable:
        """What a version says; an absent one says nothing."""
        if object_id == ABSENT:
            return {}
        if object_id not in self._seen:
            try:
                self._seen[object_id] = self._look(self._contents[object_id])
            except Refusal as refusal:
                self._seen[object_id] = Unreadable(refusal.what)
            except KeyError:
                self._seen[object_id] = Unreadable("git does not have the text")
        return self._seen[object_id]

    def facts(self, object_id: str) -> Facts:
        """What a version says of itself."""
        data = self._contents.get(object_id, b"")
        return read_facts(data[: LOOKED_AT * 400].decode("utf-8", "replace").splitlines())

    def _look(self, data: bytes) -> Sight:
        try:
            rows = data.decode("utf-8").splitlines()
        except UnicodeDecodeError:
            rows = []
        if read_facts(rows) == NOBODY_SAID:  # anybody's text, perhaps a terminal's
            return self._whole(self._read(data))
        front = tuple(row for row in rows[:LOOKED_AT] if row[:1] in "#~;" and row and not is_fact(row))
        if front not in self._fronts:
            self._fronts[front] = self._read(data)
        like = self._fronts[front]
        found = matters(self.asked, like)
        if found is None:
            return self._whole(self._read(data))
        short = "\n".join((*front, *filter(found.search, rows)))
        if short not in self._short:
            text = Text(like.dump.file, f"{short}\n", "utf-8", mark=False)
            self._short[short] = self._whole(read_dump(text, as_dialect(text, like.recognition.dialect)))
        return self._short[short]

    def _whole(self, reading: Reading) -> Sight:
        self.known = self.known or self.asked.is_known(reading)
        return self.asked.sees(reading)


def history(log: Log, desk: Desk) -> Iterator[Event]:
    """What became of what is asked, newest first."""
    for n, version in enumerate(log.versions):
        yield from _events(version, log.versions[n + 1 :], log.cut, desk)


def _events(version: Version, older: Sequence[Version], cut: frozenset[str], desk: Desk) -> Iterator[Event]:
    if version.after in version.before:  # a merge that took one side, or another mode
        return
    now = desk.sight(version.after)
    if isinstance(now, Unreadable):
        yield Event(version.commit, What.UNREADABLE, after=now.why)
        return
    if version.after == ABSENT:
        yield Event(version.commit, What.GONE)
        return
    before = [_readable(one, older, desk) for one in version.before]
    parents = [sight for one, sight in before if one != ABSENT]
    note = _new_note(version, desk)
    if not parents:
        is_cut = version.commit.id in cut
        for seen in now.values():
            yield _event(version.commit, What.OLDEST if is_cut else What.FIRST, None, seen, note)
        return
    for key in dict.fromkeys((*(key for sight in parents for key in sight), *now)):
        if all(_differ(sight.get(key), now.get(key)) for sight in parents):
            yield _event(version.commit, What.CHANGED, parents[0].get(key), now.get(key), note)


def _readable(object_id: str, older: Sequence[Version], desk: Desk) -> tuple[str, Sight]:
    """What was said before; where that cannot be read, what was said before that."""
    sight = desk.sight(object_id)
    for version in older:
        if not isinstance(sight, Unreadable):
            break
        if version.after == object_id:
            object_id = version.before[0]
            sight = desk.sight(object_id)
    return (ABSENT, {}) if isinstance(sight, Unreadable) else (object_id, sight)


def _differ(before: Seen | None, after: Seen | None) -> bool:
    if before is None or after is None:
        return before is not after
    return before.held != after.held


def _event(commit: Commit, what: What, before: Seen | None, after: Seen | None, note: str) -> Event:
    there = after or before
    if there is None:
        return Event(commit, what)
    old, new = (one.told.value if one else NOT_SAID for one in (before, after))
    if before and after and (before.told.private or after.told.private):
        new = ANOTHER if _can_be_told(before.held, after.held) else ANOTHER_KEY
    private = any(one is not None and one.told.private for one in (before, after))
    told = there.told
    return Event(commit, what, told.name, told.line, old, new, private, there.paths, note)


def _can_be_told(before: object, after: object) -> bool:
    """Whether two private values are surely not the same: both are sealed with one key, or neither is."""
    return "" in (before, after) or key_of(str(before)) == key_of(str(after))


def _new_note(version: Version, desk: Desk) -> str:
    facts = desk.facts(version.after)
    known = [desk.facts(one) for one in version.before if one != ABSENT]
    return "" if any((one.when, one.note) == (facts.when, facts.note) for one in known) else facts.note


def between(was: Sight, now: Sight) -> dict[object, tuple[Seen | None, Seen | None]]:
    """What is not the same in two texts."""
    return {
        key: (was.get(key), now.get(key))
        for key in dict.fromkeys((*was, *now))
        if _differ(was.get(key), now.get(key))
    }


def asked_of(changed: Mapping[object, tuple[Seen | None, Seen | None]]) -> Asked:
    """All settings that changed, and no others."""
    kins = {seen.kin for pair in changed.values() for seen in pair if seen and seen.kin}
    return Asked("", frozenset(kins), frozenset(filter(None, map(line_of, changed))))


def last_changes(
    log: Log, desk: Desk, changed: Mapping[object, tuple[Seen | None, Seen | None]]
) -> Iterator[Event]:
    """Each change as a whole, with the commit that made the setting what it is now, newest first."""
    left = dict(changed)
    for n, version in enumerate(log.versions):
        if not left:
            return
        now = desk.sight(version.after)
        if isinstance(now, Unreadable):
            continue
        sights = [_readable(one, log.versions[n + 1 :], desk)[1] for one in version.before]
        note = _new_note(version, desk)
        for key in [key for key in left if all(_differ(one.get(key), now.get(key)) for one in sights)]:
            yield _event(version.commit, What.CHANGED, *left.pop(key), note)
    for pair in left.values():
        yield _event(NOT_FOUND, What.CHANGED, *pair, "")
