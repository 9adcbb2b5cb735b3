"""The gate that text from files passes before anybody's terminal or page sees it."""

from __future__ import annotations

from cfgaudit.model.value import Json


def safe(text: str) -> str:
    r"""The same text with every character that is not printable written out, e.g. ``\x1b``.

    Not printable is what ``str.isprintable`` says: control characters, line ends, characters that
    steer the direction of writing, lone surrogates, every blank but the space. A second pass
    changes nothing.
    """
    if text.isprintable():
        return text
    return "".join(one if one.isprintable() else _written_out(one) for one in text)


def safe_tree(tree: Json) -> Json:
    """The same JSON with every text in it, keys included, made safe."""
    if isinstance(tree, str):
        return safe(tree)
    if isinstance(tree, list):
        return [safe_tree(one) for one in tree]
    if isinstance(tree, dict):
        return {safe(key): safe_tree(value) for key, value in tree.items()}
    return tree


def _written_out(character: str) -> str:
    return character.encode("unicode_escape").decode("ascii")
