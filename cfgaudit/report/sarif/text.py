"""Texts in a SARIF log. Brackets make links in each of its messages, and braces stand for arguments."""

from __future__ import annotations

from cfgaudit.model.value import Json
from cfgaudit.report.markdown import plain
from cfgaudit.report.safe import safe
from cfgaudit.report.words import one_line

_ACTIVE = str.maketrans({"\\": "\\\\", "[": "\\[", "]": "\\]", "{": "{{", "}": "}}"})
_BRACES = str.maketrans({"{": "{{", "}": "}}"})


def spoken(text: str) -> str:
    """A sentence as plain text."""
    return literal(safe(one_line(text)))


def literal(text: str) -> str:
    """Safe text with all that a plain text message would act on escaped (sections 3.11.5 and 3.11.6)."""
    return text.translate(_ACTIVE)


def spoken_markdown(text: str) -> str:
    """A sentence as Markdown."""
    return in_message(plain(one_line(text)))


def in_message(markdown: str) -> str:
    """Markdown as a message holds it."""
    return markdown.translate(_BRACES)


def said(text: str) -> Json:
    """A message of one sentence."""
    return {"text": spoken(text)}
