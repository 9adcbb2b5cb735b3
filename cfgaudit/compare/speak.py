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
from cfgaudit.compare.words import together, topic_of
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
            # One side says nothing at all of it: not worth a line for each leaf.
            yield pair.change(section, together(inside, 1, _FIRST_FEW), inside)
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
        if topic.together:
            inside.sort(key=lambda one: topic.rank(one.path))
        yield pair.change(topic.named(inside[0].path), together(inside, topic.skip, len(inside)), inside)
