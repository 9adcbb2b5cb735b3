"""What the reports of a firmware update are drawn from: its files, the plan, and what came of it."""

from __future__ import annotations

from msgspec import Struct

from cfgaudit.compare.carry.arrived import Arrival
from cfgaudit.compare.carry.carry import Plan
from cfgaudit.compare.carry.checked import Checked
from cfgaudit.report.paper import BuildHead, DumpHead


class CarryNote(Struct, frozen=True):
    """A sentence on how the files go together; ``warns`` if what is planned may be wrong because of it."""

    text: str
    warns: bool = False


class CarryPaper(Struct, frozen=True):
    """What a report needs beside the plan. ``after`` and ``build`` hold one at most."""

    tool_version: str
    old: DumpHead
    mine: DumpHead
    new: DumpHead
    after: tuple[DumpHead, ...] = ()
    build: tuple[BuildHead, ...] = ()
    notes: tuple[CarryNote, ...] = ()

    @property
    def dumps(self) -> tuple[tuple[str, DumpHead], ...]:
        """The dumps, each with what it is in the update."""
        named = (("as it came", self.old), ("yours", self.mine), ("as it comes", self.new))
        return (*named, *(("afterwards", head) for head in self.after))


class Update(Struct, frozen=True):
    """A plan; ``arrival`` once there is a later dump, ``checked`` if there is a build sheet."""

    plan: Plan
    arrival: tuple[Arrival, ...] = ()
    checked: tuple[Checked, ...] = ()
