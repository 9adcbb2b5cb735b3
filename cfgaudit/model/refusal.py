"""The one exception a user can cause: what is wrong, where, and what to do about it."""

from __future__ import annotations

from cfgaudit.model.place import Place


class Refusal(Exception):
    """The tool cannot do its work; the command line turns this into one line and exit code 2.

    ``what`` says what is wrong, ``mend`` what to do; ``place`` is None only where no file is
    involved (an unknown rule id on the command line, for instance).
    """

    def __init__(self, what: str, mend: str, place: Place | None = None) -> None:
        super().__init__(what)
        self.what = what
        self.mend = mend
        self.place = place

    def __str__(self) -> str:
        where = f"{self.place}: " if self.place else ""
        return f"{where}{self.what}; {self.mend}"
