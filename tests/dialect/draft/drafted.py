"""Drafts as a user would get and use them."""

from __future__ import annotations

from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.draft.draft import Draft, draft
from cfgaudit.dialect.read import read_dump
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.recognise import as_dialect
from cfgaudit.dialect.shelf import own_dialect
from cfgaudit.dump.text import Text, decode
from cfgaudit.model.model import Model
from cfgaudit.model.path import dotted
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.sheet import Build, build_from, read_build
from cfgaudit.model.value import Value
from tests.house.checkout import ROOT

SAMPLES = ROOT / "samples"


def source(craft: str, name: str = "known-good.txt") -> Text:
    """A dump of the samples."""
    file = SAMPLES / craft / name
    return decode(file.read_bytes(), str(file.relative_to(ROOT)))


def sheet(craft: str) -> Build:
    """A build sheet of the samples."""
    return read_build(SAMPLES / craft / "build.yaml")


def typed(text: str) -> Text:
    """A dump that stands in a test."""
    return Text("dump.txt", text, "utf-8", mark=False)


def told(text: str) -> Build:
    """A build sheet that stands in a test."""
    return build_from(read_yaml(text, "build.yaml"))


def loaded(made: Draft) -> Dialect:
    """The draft as a dialect: what a user's own file goes through."""
    return own_dialect(read_yaml(made.text, "draft.yaml"))


def read(made: Draft, dump: Text) -> Reading:
    """A dump, read by the draft as the dialect that the user named."""
    return read_dump(dump, as_dialect(dump, loaded(made)))


def drafted(dump: Text, build: Build | None = None) -> Reading:
    """A dump, read by its own draft."""
    return read(draft(dump, build), dump)


def leaves(model: Model) -> dict[str, Value]:
    """What a model says, by dotted paths, the firmware's own words left out."""
    return {
        dotted(path): leaf.value
        for path, leaf in model.leaves.items()
        if path[0] not in ("firmware", "limits")
    }
