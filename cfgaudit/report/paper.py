"""What a report needs beside findings and changes: plain data, filled in by the caller."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Literal, Protocol

from msgspec import Struct

from cfgaudit.audit.finding import Audit, Level
from cfgaudit.compare.change import Change
from cfgaudit.model.place import Place

if TYPE_CHECKING:
    from cfgaudit.dialect.in_place import Replacement

Extent = Literal["full", "changed", "unknown"]


class DumpHead(Struct, frozen=True):
    """One dump as it was read.

    ``firmware``, ``version``, ``board`` and ``dialect`` are "" where nobody tells. ``settings``
    counts all statements that set something, ``not_understood`` those of them that the dialect
    does not know. ``notes`` are whole sentences about the reading itself (an encoding that was
    guessed, a terminal capture that was cleaned). ``keep_with`` is what to type so that a change
    survives a restart, "" if the dialect does not say. ``is_file`` is false for what came from
    standard input or out of git: no program can open it by its name.
    """

    file: str
    firmware: str
    version: str
    board: str
    extent: Extent
    dialect: str
    settings: int
    not_understood: int
    notes: tuple[str, ...] = ()
    keep_with: str = ""
    is_file: bool = True


class BuildHead(Struct, frozen=True):
    """A build sheet as it was read; ``craft`` is "" if the sheet does not name it."""

    file: str
    craft: str
    devices: int
    motors: int
    notes: tuple[str, ...] = ()


class AuditPaper(Struct, frozen=True):
    """What a report of an audit needs beside the audit. ``tool_version`` is the program's own."""

    tool_version: str
    dump: DumpHead
    build: BuildHead


class Audited(Struct, frozen=True):
    """One craft that was audited, for a report that may be of several.

    ``craft`` is its name in the project file, "" if no project file tells of it. ``rules`` are those of the
    book; ``fixes`` holds, by a finding's fingerprint, its mend as changes of the dump's own lines.
    """

    craft: str
    paper: AuditPaper
    audit: Audit
    rules: tuple[ShownRule, ...] = ()
    fixes: Mapping[str, tuple[Replacement, ...]] = {}

    @property
    def name(self) -> str:
        """What the craft is called: in the project file, else in its sheet."""
        return self.craft or self.paper.build.craft


class NotAudited(Struct, frozen=True):
    """One craft that could not be audited, and why; ``where`` is None where no file can be opened."""

    craft: str
    what: str  # with what to do about it, without the place
    where: Place | None = None

    @property
    def said(self) -> str:
        """Why, in one line, with the place."""
        return f"{self.where}: {self.what}" if self.where else self.what


class BuildPaper(Struct, frozen=True):
    """What a report of a build sheet alone needs beside the audit."""

    tool_version: str
    build: BuildHead


class DiffPaper(Struct, frozen=True):
    """What a report of a comparison needs beside the changes."""

    tool_version: str
    before: DumpHead
    after: DumpHead


class BenchPaper(Struct, frozen=True):
    """What a bench list needs beside its steps.

    ``dumps`` is the one that was audited, or the two that were compared. ``calls`` counts the
    findings without what merely follows from them, or the changes; ``not_judged`` the judgements
    that lack something.
    """

    tool_version: str
    build: BuildHead
    dumps: tuple[DumpHead, ...]
    calls: int
    not_judged: int = 0


class Comparison(Protocol):
    """What a report needs of a comparison."""

    @property
    def changes(self) -> Sequence[Change]: ...


class ShownRule(Protocol):
    """What a report needs of a rule."""

    @property
    def id(self) -> str: ...
    @property
    def level(self) -> Level: ...
    @property
    def title(self) -> str: ...
    @property
    def needed(self) -> Sequence[str]: ...
    @property
    def mend(self) -> Sequence[object]: ...
    @property
    def inputs(self) -> Sequence[tuple[str, Sequence[str]]]: ...
    @property
    def follows(self) -> Sequence[str]: ...
    @property
    def why(self) -> str: ...
    @property
    def basis(self) -> str: ...
    @property
    def hazard(self) -> str: ...
    @property
    def never_accept(self) -> str: ...


class ShownExample(Protocol):
    """What a report needs of an example."""

    @property
    def sheet(self) -> Sequence[str]: ...
    @property
    def lines(self) -> Sequence[str]: ...
    @property
    def says(self) -> str: ...
    @property
    def cannot(self) -> Sequence[str]: ...


class ShownExamples(Protocol):
    """What a report needs of a rule's examples."""

    @property
    def wrong(self) -> Sequence[ShownExample]: ...
    @property
    def right(self) -> Sequence[ShownExample]: ...
    @property
    def by_mend(self) -> bool: ...
