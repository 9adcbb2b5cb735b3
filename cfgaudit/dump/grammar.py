"""The grammar families: lark's LALR parsers, one a family, made once a process."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from cfgaudit.kept import kept_name, own_folder
from cfgaudit.shipped import shipped

if TYPE_CHECKING:
    from lark import Lark

FAMILIES = ("console", "sectioned", "columns")


@cache
def parser(family: str) -> Lark:
    """The parser of a family. Its trees keep every token, so they print back what was read."""
    from lark import Lark

    grammar = shipped("grammars") / f"{family}.lark"
    folder = own_folder()
    return Lark(
        grammar.read_text("utf-8"),
        parser="lalr",
        lexer="contextual",
        keep_all_tokens=True,
        maybe_placeholders=False,
        import_paths=[str(grammar.parent)],
        source_path=str(grammar),
        # lark's tables, made once for each grammar and version: a tenth of a short run
        cache=str(folder / kept_name(grammar, ".tables")) if folder else False,
    )
