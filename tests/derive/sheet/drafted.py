"""Drafts for these tests: of samples, and of models that stand in no dump."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache

from msgspec.structs import replace

from cfgaudit.audit.evidence import dotted_paths
from cfgaudit.derive.sheet.draft import Draft, draft
from cfgaudit.dialect.reading import Reading
from cfgaudit.model.model import Leaf, Model
from cfgaudit.model.place import Place
from cfgaudit.model.value import Json
from tests.audit.bench import reading_of, sample, sample_text

# A line to fill in begins with a # and no blank.
_SHUT = re.compile(r"^( *)#(?=[^ #\n])", re.MULTILINE)


@cache
def plain(name: str) -> Reading:
    """A sample as it is read without any build sheet."""
    return reading_of(sample_text(name), name)


@cache
def of_sample(name: str) -> Draft:
    return draft(plain(name))


def reading_with(model: Mapping[str, Json]) -> Reading:
    """A reading that tells this model; each of its values stands on a line of the otter's dump."""
    base = sample("otter/known-good.txt")
    leaves = {
        path: Leaf(value, Place(base.dump.file, n % 300 + 1))
        for n, (path, value) in enumerate(dotted_paths(dict(model)))
    }
    return replace(base, model=Model(leaves, {}))


def of_model(model: Mapping[str, Json]) -> Draft:
    return draft(reading_with({"firmware": {"name": "plover"}, **model}))


def opened(text: str) -> str:
    """A draft with every line to fill in taken at its example."""
    return _SHUT.sub(r"\1", text)
