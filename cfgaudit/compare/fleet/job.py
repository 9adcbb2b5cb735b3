"""What one craft's audit needs, whole: a job can be done in any process, on any machine."""

from __future__ import annotations

from datetime import date

from msgspec import Struct

from cfgaudit.model.terms import Terms


class Page(Struct, frozen=True):
    """A file's bytes, and the name by which its user knows it."""

    name: str
    data: bytes


NO_PAGE = Page("", b"")


class Job(Struct, frozen=True):
    """One craft: its files as they are, and what the user says beside them.

    ``dialect`` is the name of one in the box, or ``own_dialect`` a user's; with neither the dump's header
    tells. ``rules`` are the files of the user's own rules. ``key`` is that of the seals, b"" if there is
    none. ``salt`` is this run's own: by it private values can be held together and not be told.
    """

    craft: str
    dump: Page
    sheet: Page
    today: date
    salt: bytes
    terms: Terms = Terms()
    dialect: str = ""
    own_dialect: Page = NO_PAGE
    rules: tuple[Page, ...] = ()
    baseline: Page = NO_PAGE
    baseline_named: str = ""  # a baseline's file that is named, whether or not it has been recorded
    key: bytes = b""
    unread: str = ""  # why the files could not be read; "" if they were
