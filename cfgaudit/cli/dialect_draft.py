"""cfgaudit dialect draft: a draft dialect from one dump."""

from __future__ import annotations

import click


@click.command("draft")
@click.argument("dump", metavar="DUMP")
@click.option("--build", metavar="SHEET", help="The build sheet of a craft that flies with this dump.")
@click.option("--out", metavar="FILE", help="Write to a new file instead of standard output.")
def draft_command(dump: str, build: str | None, out: str | None) -> int:
    """Draft a dialect from DUMP, with the evidence for each guess beside it.

    The draft reads the whole dump; what is not settled gives nothing yet. With the build sheet of
    a craft that flies well with just this dump, codes are solved for: the reading of the lines that
    gives each declared device its job. What is left is for cfgaudit dialect teach.

    \b
    Example: cfgaudit dialect draft known-good.txt --build build.yaml --out my-firmware.yaml
    """
    import cfgaudit
    from cfgaudit.cli.output import say, show
    from cfgaudit.dialect.draft.draft import draft
    from cfgaudit.dump.capture import cleaned
    from cfgaudit.dump.file import read_bytes
    from cfgaudit.dump.text import decode

    sheet = cfgaudit.read_build(build) if build else None
    made = draft(cleaned(decode(read_bytes(dump), dump)), sheet)
    if not out:
        show([made.text.rstrip("\n")])
        return 0
    _write(out, made.text)
    settled = sum(bool(guess.path) for guess in made.guesses)
    say(f"draft written to {out}: {settled} meanings settled, {len(made.questions)} questions at its end")
    return 0


def _write(name: str, text: str) -> None:
    """Write a new file. Raises Refusal if it is there already, or cannot be written."""
    from cfgaudit.model.place import Place
    from cfgaudit.model.refusal import Refusal

    try:
        with open(name, "x", encoding="utf-8", newline="") as file:
            file.write(text)
    except FileExistsError:
        raise Refusal("this file is there already", "name a new one", Place(name, 1, 1)) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the system does not say why"
        raise Refusal(f"cannot be written ({reason})", "name another file", Place(name, 1, 1)) from None
