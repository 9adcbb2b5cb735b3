"""Differences of leaves → changes that a builder would speak of in one breath."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from cfgaudit.compare.change import Change
from cfgaudit.compare.difference import Difference, grouped
from cfgaudit.compare.elements import element_changes
from cfgaudit.compare.jobs import job_changes
from cfgaudit.compare.mixer import mixer_changes
from cfgaudit.compare.modes import mode_changes
from cfgaudit.compare.outputs import output_changes
from cfgaudit.compare.pair import Pair
from cfgaudit.compare.tuning import tuning_changes
from cfgaudit.compare.words import label, labelled, piece, some, topic_of, with_unit
from cfgaudit.model.model import Leaf
from cfgaudit.model.path import Path

Speaker = Callable[[Pair, Sequence[Difference]], Iterator[Change]]

# Which leaves have a speaker of their own: the path's beginning and its length.
_SPEAKERS: Sequence[tuple[Path, int, Speaker]] = (
    (("modes",), 4, mode_changes),
    (("mixer",), 3, mixer_changes),
    (("osd", "elements"), 4, element_changes),
    (("outputs",), 3, output_changes),
    (("profiles",), 3, tuning_changes),
    (("rates",), 3, tuning_changes),
)

_FIRST_FEW = 6


def spoken_changes(pair: Pair, differences: Sequence[Difference]) -> Iterator[Change]:
    """Every difference is in at least one of the changes.

    One exception: rows of the firmware's table of mode ranges that only changed places.
    """
    for section, inside in grouped(differences, lambda one: one.path[0]):
        if len(inside) > 1 and (section in pair.a.model.tree) != (section in pair.b.model.tree):
            yield _whole_section(pair, section, inside)
        elif section == "ports":
            changes, silent = job_changes(pair, inside)
            yield from changes
            yield from _by_topic(pair, silent)
        else:
            yield from _by_speaker(pair, inside)


def _by_speaker(pair: Pair, differences: Sequence[Difference]) -> Iterator[Change]:
    for speaker, inside in grouped(differences, lambda one: _speaker_of(one.path)):
        yield from speaker(pair, inside)


def _speaker_of(path: Path) -> Speaker:
    return next(
        (speaker for stem, length, speaker in _SPEAKERS if path[: len(stem)] == stem and len(path) == length),
        _by_topic,
    )


def _by_topic(pair: Pair, differences: Sequence[Difference]) -> Iterator[Change]:
    """What needs no speaker of its own: leaf by leaf, or the leaves of a topic together."""

    def breath(one: Difference) -> object:
        topic = topic_of(one.path)
        return (topic, topic.named(one.path), "" if topic.together else one.path)

    for _, inside in grouped(differences, breath):
        topic = topic_of(inside[0].path)
        text = ", ".join(piece(one, topic.skip) for one in inside)
        yield pair.change(topic.named(inside[0].path), text, inside)


def _whole_section(pair: Pair, section: str, inside: Sequence[Difference]) -> Change:
    """One side says nothing at all of this section: not worth a line for each leaf."""
    before = [_said(one.path, one.before) for one in inside if isinstance(one.before, Leaf)]
    after = [_said(one.path, one.after) for one in inside if isinstance(one.after, Leaf)]
    now, was = some(after, _FIRST_FEW), some(before, _FIRST_FEW)
    text = f"not said before; now {now}" if after else f"no longer said; was {was}"
    return pair.change(section, text, inside)


def _said(path: Path, leaf: Leaf) -> str:
    return labelled(label(path, 1), with_unit(path, leaf.value))
