"""`runout case notice`: the letters to consignees, written from a template and recorded."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from runout import open_ledger
from tracelink.cli.case.opts import items_given, maybe_case_options, signer_of
from tracelink.cli.common.say import say
from tracelink.clock import local_now
from tracelink.errors import UsageError
from tracelink.ledger.times import require_local_time
from tracelink.plainfile import plain_bytes
from tracelink.report.case.notice_items import items_for, words_that_play_down

if TYPE_CHECKING:
    from runout import Letter
    from tracelink.genealogy.case.case_facts import CaseFacts


@click.command(
    epilog="Example: runout case notice Q000001Z --all --by P000001H --method letter --item contact='Quality, +49 ...'"
)
@maybe_case_options
@click.option(
    "--consignee", "names", metavar="NAME", multiple=True, help="Whom to tell; may be given several times."
)
@click.option("--all", "everybody", is_flag=True, help="Tell every consignee that the case names.")
@click.option(
    "--method", default="letter", show_default=True, help="How it is sent, such as letter or e-mail."
)
@click.option(
    "--template",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="The plant's own wording (Jinja2 text) in place of the program's.",
)
@click.option("--item", "items", metavar="NAME=TEXT", multiple=True, help="What a person says; see --items.")
@click.option(
    "--items", "list_items", is_flag=True, help="Only list the items of this notice and their sources."
)
@click.option(
    "--out", metavar="DIR", type=click.Path(path_type=Path), default=Path(), help="Folder for the files."
)
@click.option(
    "--sent", metavar="FILE", type=click.Path(path_type=Path), help="Record the text in FILE as sent."
)
@click.option("--dry-run", is_flag=True, help="Print the texts; write and record nothing.")
@click.pass_context
def notice(
    ctx: click.Context,
    /,
    case: str,
    by: str | None,
    at: str | None,
    seen: int | None,
    names: tuple[str, ...],
    everybody: bool,
    method: str,
    template: Path | None,
    items: tuple[str, ...],
    list_items: bool,
    out: Path,
    sent: Path | None,
    dry_run: bool,
) -> None:
    """Write a notice for each consignee, and record that and how it was told.

    Each has three files: the text, the list of its cartons (.csv), and both as an e-mail (.eml) that a mail program opens,
    ready to send; runout sends nothing. The entry keeps the hash of the text; keep the files. A text that was edited by hand is recorded with --sent FILE
    for one consignee. What nobody gave stands as a named gap in the text and is listed. The items of safety notices
    are offered only for a case that a person opened with --safety; the program does not choose.

    Exit codes: 0 all items were given, 1 there are gaps or words that play a risk down.
    """
    if by is None and not (list_items or dry_run):
        raise UsageError(
            "--by is missing: a notice is a named person's act (--dry-run shows the texts without one)"
        )
    when = local_now() if at is None else require_local_time(at)
    with open_ledger(ctx.obj, read_only=True) as ledger:
        if list_items:
            _list(ledger.cases.history(case).facts)
            return
        found = ledger.notices.write(
            case, _chosen(names, everybody=everybody), items=items_given(items), at=when, template=template
        )
    letters = found.letters
    if sent is not None:
        letters = (_sent(sent, letters, safety=found.facts.case.safety),)
    if dry_run:
        for letter in letters:
            say(letter.text)
    elif by is not None:
        folder = None if sent is not None else out
        signer = signer_of(by, when, seen or found.facts.case.last_seq)
        with open_ledger(ctx.obj) as ledger:
            ledger.notices.record(case, signer, letters, method, folder=folder)
        for letter in letters:
            where = "" if folder is None else f"{folder / letter.name}.txt, .csv and .eml: "
            say(f"{where}notice to {letter.consignee} by {method}, recorded.")
    ctx.exit(1 if _warned(letters, by_mail="mail" in method.lower()) else 0)


def _list(facts: CaseFacts) -> None:
    for item in items_for(safety=facts.case.safety):
        say(f"{item.name}: {item.asks} ({item.source})")


def _chosen(names: tuple[str, ...], *, everybody: bool) -> tuple[str, ...] | None:
    if everybody == bool(names):
        raise UsageError("say whom to tell: --consignee NAME, or --all, and not both")
    return None if everybody else names


def _sent(file: Path, letters: tuple[Letter, ...], *, safety: bool) -> Letter:
    if len(letters) != 1:
        raise UsageError("--sent records one text for one consignee: give one --consignee")
    try:
        text = plain_bytes(file).decode("utf-8")
    except OSError as problem:
        raise UsageError(f"{file} cannot be read: {problem.strerror or problem}") from None
    except UnicodeDecodeError as problem:
        raise UsageError(f"{file} is not UTF-8 text: byte {problem.start} cannot be read") from None
    # It was sent as it is: what the program would have written or found missing says nothing about it.
    played_down = tuple(words_that_play_down(text)) if safety else ()
    return replace(letters[0], text=text, gaps=(), unnamed=(), lacks=(), played_down=played_down)


def _warned(letters: tuple[Letter, ...], *, by_mail: bool) -> bool:
    """Say on the error stream what is missing, and which words a safety notice must not have."""
    said = [sentence for letter in letters for sentence in _warnings(letter, by_mail=by_mail)]
    for sentence in said:
        say(sentence, err=True)
    return bool(said)


def _warnings(letter: Letter, *, by_mail: bool) -> Iterator[str]:
    if letter.gaps:
        yield f"Notice to {letter.consignee}: not given: {', '.join(letter.gaps)}."
    for sentence in letter.unnamed:
        yield f"Notice to {letter.consignee}: {sentence}."
    for lack in letter.lacks if by_mail else ():
        yield f"Notice to {letter.consignee}: {lack}: fill it in before you send the e-mail file, or add a [[contact]] with runout plan."
    for line, word in letter.played_down:
        yield (
            f"Notice to {letter.consignee}, line {line}: {word!r} plays the risk down; EU 2023/988 Art. 36 bars "
            "such words (not checked against the original text)."
        )
