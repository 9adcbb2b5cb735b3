"""The grammar families: lark's LALR parsers, one a family, made once a process."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from cfgaudit.shipped import shipped

if TYPE_CHECKING:
    from lark import Lark

FAMILIES = ("console", "sectioned")


@cache
def parser(family: str) -> Lark:
    """The parser of a family. Its trees keep every token, so they print back what was read."""
    from lark import Lark

    return Lark(
        (shipped("grammars") / f"{family}.lark").read_text("utf-8"),
        parser="lalr",
        lexer="contextual",
        keep_all_tokens=True,
        maybe_placeholders=False,
        import_paths=[str(shipped("grammars"))],
        source_path=str(shipped("grammars") / f"{family}.lark"),
    )
