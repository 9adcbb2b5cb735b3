"""What a build sheet leaves out: the paths that rules wait for, whatever a dump may say.

The rules are judged against dumps that tell everything (see ``derive/supposed.py``). What is not
judged even then, the sheet would have to say. Each gap is then filled with the example of the sheet's
schema, so that what a rule lacks behind its first gap is seen too.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.audit.alone import Desk
from cfgaudit.audit.audit import evidence
from cfgaudit.audit.finding import NotJudged
from cfgaudit.audit.judge import judge
from cfgaudit.audit.rule import Rule
from cfgaudit.derive.supposed import supposed, variants
from cfgaudit.model.describe import described, example, holds_things, line_of, names_are_free
from cfgaudit.model.path import Path
from cfgaudit.model.place import Place
from cfgaudit.model.placed import Trail
from cfgaudit.model.sheet import Build, build_schema, normalise
from cfgaudit.model.value import Json

ROUNDS = 8  # gaps behind gaps; no rule needs so many values
# How a dump was read that tells everything and leaves nothing open.
_READING: Mapping[str, Json] = {
    "dialect": "",
    "versions": "",
    "extent": "full",
    "doubts": [],
    "unknown": [],
    "repeats": [],
    "private": [],
    "to_git": False,
}


class LeftOut(Struct, frozen=True):
    """A path that the sheet does not say, or says in a way that is of no use."""

    path: Path
    about: str  # the name of the device that it is about; "" if it is about none
    rules: tuple[str, ...]  # ids of those that wait for it
    reason: str  # why what the sheet says is of no use; "" where it says nothing
    below: Path  # the block that it belongs to, as far as the sheet writes it
    where: Place  # where that block is written
    keys: Path  # the keys that would be written there
    meaning: str  # the schema's words on it
    example: Json

    @property
    def line(self) -> str:
        """What could be written below the block, in one line of YAML; "" where nothing is to be added."""
        return line_of(self.keys, self.example) if self.keys else ""


def left_out(sheet: Build, rules: Iterable[Rule]) -> tuple[LeftOut, ...]:
    """All paths that rules wait for, those that most wait for first."""
    waiting: dict[Path, set[str]] = {}
    reasons: dict[Path, str] = {}
    for one in _lacking(sheet, tuple(rules)):
        waiting.setdefault(one.lacks, set()).add(one.rule)
        if not sheet.trail(one.lacks)[1]:
            reasons.setdefault(one.lacks, one.missing)
    found = (_entry(sheet, path, tuple(sorted(ids)), reasons.get(path, "")) for path, ids in waiting.items())
    return tuple(sorted(found, key=lambda one: (-len(one.rules), one.where, one.path)))


def _lacking(sheet: Build, rules: tuple[Rule, ...]) -> Iterator[NotJudged]:
    """What rules lack: first by the sheet as it is, then by what is behind that, until no more comes."""
    for variant in range(variants()):
        asked = {frozenset[Path](): rules}  # what has been filled for these rules → the rules
        for round in range(ROUNDS):
            found: dict[frozenset[Path], tuple[Rule, ...]] = {}
            for filled, some in asked.items():
                gaps = _gaps(sheet, filled, some, variant)
                yield from gaps if not round else filter(None, (_named(sheet, one) for one in gaps))
                for rule in some:
                    lacks = {one.lacks for one in gaps if one.rule == rule.id} - filled
                    if lacks:  # else no example helps it on
                        found[filled | lacks] = (*found.get(filled | lacks, ()), rule)
            asked = found


def _gaps(sheet: Build, filled: frozenset[Path], rules: tuple[Rule, ...], variant: int) -> list[NotJudged]:
    tree = _filled(sheet, filled)
    seen = evidence(rules, supposed(tree, variant), tree, _READING, Desk(sheet))
    answers = (answer for rule in rules for answer in judge(rule, seen))
    return [one for one in answers if isinstance(one, NotJudged) and one.lacks]


def _named(sheet: Build, gap: NotJudged) -> NotJudged | None:
    """A gap behind another one, without the names that only an example has brought in.

    What is left of its path then is a gap, unless the sheet says it.
    """
    schema = build_schema()
    for n in range(1, len(gap.lacks)):
        trail, rest = sheet.trail(gap.lacks[:n])
        if names_are_free(schema, (*trail, *rest)) and sheet.trail(gap.lacks[: n + 1])[1]:
            return replace(gap, lacks=gap.lacks[:n]) if rest else None
    return gap


def _filled(sheet: Build, gaps: Iterable[Path]) -> dict[str, Json]:
    """The tree with the examples of what it lacks; of things by names of the user's own there are none."""
    schema = build_schema()
    tree: Json = sheet.tree
    for path in gaps:
        trail, rest = sheet.trail(path)
        keys = (*trail, *rest)
        if rest and not holds_things(schema, keys):
            tree = _with(tree, path, example(schema, keys))
    assert isinstance(tree, dict)
    return normalise(tree)


def _with(node: Json, path: Path, value: Json) -> Json:
    """A tree with a value at a path; the rest is shared with the tree that was given."""
    if not path:
        return value
    key, *below = path
    if isinstance(node, list) and key.isdecimal() and int(key) < len(node):
        n = int(key)
        return [*node[:n], _with(node[n], tuple(below), value), *node[n + 1 :]]
    held = node if isinstance(node, dict) else {}
    return {**held, key: _with(held.get(key), tuple(below), value)}


def _entry(sheet: Build, path: Path, rules: tuple[str, ...], reason: str) -> LeftOut:
    schema = build_schema()
    trail, rest = sheet.trail(path)
    whole: Trail = (*trail, *rest)
    return LeftOut(
        path=path,
        about=_name(sheet, path),
        rules=rules,
        reason=reason,
        below=path[: len(path) - len(rest)],
        where=sheet.place(path),
        keys=rest,
        meaning=described(schema, whole),
        example=example(schema, whole),
    )


def _name(sheet: Build, path: Path) -> str:
    """The name of the device whose entry a path leads into."""
    devices = sheet.tree.get("devices")
    if path[0] != "devices" or len(path) < 2 or not isinstance(devices, list):
        return ""
    n = int(path[1]) if path[1].isdecimal() else len(devices)
    device = devices[n] if n < len(devices) else None
    name = device.get("name") if isinstance(device, dict) else None
    return name if isinstance(name, str) else ""
