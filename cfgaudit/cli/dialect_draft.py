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
    from cfgaudit.cli.output import say, show
    from cfgaudit.cli.own_file import refuse_if_there, write_new
    from cfgaudit.cli.sources import read_sheet
    from cfgaudit.dialect.draft.draft import draft
    from cfgaudit.dump.capture import cleaned
    from cfgaudit.dump.file import read_bytes
    from cfgaudit.dump.text import decode
    from cfgaudit.model.place import Place
    from cfgaudit.model.refusal import Refusal

    if build == dump == "-":
        raise Refusal("standard input cannot be both DUMP and SHEET", "name a file for one of them")
    if out is not None:
        refuse_if_there(out)
    sheet = None if build is None else read_sheet(build)
    source = cleaned(decode(read_bytes(dump), dump))
    if not source.text.strip():
        raise Refusal("this dump is empty", "dump again, all settings", Place(dump, 1, 1))
    made = draft(source, sheet)
    if out is None:
        show([made.text.rstrip("\n")])
        return 0
    write_new(out, made.text)
    settled = sum(bool(guess.path) for guess in made.guesses)
    say(f"draft written to {out}: {settled} meanings settled, {len(made.questions)} questions at its end")
    return 0
