"""`runout case notice`: the letters to consignees, written from a template and recorded."""

import hashlib
import re
from dataclasses import dataclass
from pathlib import Path

import click

from tracelink.cli.case.opts import Author, maybe_case_options
from tracelink.cli.common.say import say
from tracelink.clock import local_now
from tracelink.errors import UsageError
from tracelink.genealogy.case.case_facts import CaseFacts
from tracelink.genealogy.case.standing import consignees_of
from tracelink.ledger.times import require_local_time
from tracelink.printing.output import whole_file
from tracelink.report.case.notice import notice_text
from tracelink.report.case.notice_items import items_for, words_that_play_down
from tracelink.store.ledger import read_ledger
from tracelink.store.office import case_acts
from tracelink.store.office.cases import case_facts
from tracelink.store.office.notice_facts import notice_facts

_NOT_IN_A_NAME = re.compile(r"[^A-Za-z0-9]+")


@dataclass(frozen=True, slots=True)
class _Letter:
    consignee: str
    file: Path
    text: str
    gaps: tuple[str, ...]


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
    "--out", metavar="DIR", type=click.Path(path_type=Path), default=Path(), help="Folder for the texts."
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
    """Write a notice for each consignee to a text file, and record that and how it was told.

    The entry keeps the hash of the text; keep the file. A text that was edited by hand is recorded with --sent FILE
    for one consignee. What nobody gave stands as a named gap in the text and is listed. The items of safety notices
    are offered only for a case that a person opened with --safety; the program does not choose.

    \b
    Exit codes: 0 all items were given, 1 there are gaps or words that play a risk down.
    """  # noqa: D301  click looks for the character
    if by is None and not (list_items or dry_run):
        raise UsageError(
            "--by is missing: a notice is a named person's act (--dry-run shows the texts without one)"
        )
    when = local_now() if at is None else require_local_time(at)
    with read_ledger(ctx.obj) as conn:
        facts = case_facts(conn, case)
        if list_items:
            _list(facts)
            return
        chosen = _chosen(facts, names, everybody=everybody)
        given = _given(items)
        letters = [
            _letter(facts, *notice_text(notice_facts(conn, facts, name, when), given, template), name, out)
            for name in chosen
        ]
    if sent is not None:
        letters = [_sent(sent, letters)]
    if dry_run:
        for letter in letters:
            say(letter.text)
    elif by is not None:
        _record(
            Author(ctx.obj, by, when, seen or facts.case.last_seq), case, method, letters, write=sent is None
        )
    ctx.exit(1 if _warned(letters, safety=facts.case.safety) else 0)


def _list(facts: CaseFacts) -> None:
    for item in items_for(safety=facts.case.safety):
        click.echo(f"{item.name}: {item.asks} ({item.source})")


def _chosen(facts: CaseFacts, names: tuple[str, ...], *, everybody: bool) -> list[str]:
    known = consignees_of(facts.recorded.scopes)
    if everybody == bool(names):
        raise UsageError("say whom to tell: --consignee NAME, or --all, and not both")
    for name in names:
        if name not in known:
            listed = ", ".join(known) or "nobody"
            raise UsageError(f"case {facts.case.code} names no consignee {name!r}; it names {listed}")
    if not known:
        raise UsageError(
            f"case {facts.case.code} names no consignee: nothing that may be affected has left the plant"
        )
    return known if everybody else list(dict.fromkeys(names))


def _given(items: tuple[str, ...]) -> dict[str, str]:
    found: dict[str, str] = {}
    for item in items:
        name, equals, text = item.partition("=")
        if not equals:
            raise UsageError(f"--item {item!r}: expected NAME=TEXT")
        found[name.strip()] = text
    return found


def _letter(facts: CaseFacts, text: str, gaps: list[str], consignee: str, out: Path) -> _Letter:
    told = sum(one.consignee == consignee for one in facts.recorded.notices)
    short = _NOT_IN_A_NAME.sub("-", consignee).strip("-").lower()[:40] or "consignee"
    # Two names may be alike when they are shortened; their hash is not.
    mark = hashlib.sha256(consignee.encode()).hexdigest()[:6]
    return _Letter(consignee, out / f"{facts.case.code}-{short}-{mark}-{told + 1}.txt", text, tuple(gaps))


def _sent(file: Path, letters: list[_Letter]) -> _Letter:
    if len(letters) != 1:
        raise UsageError("--sent records one text for one consignee: give one --consignee")
    try:
        text = file.read_bytes().decode("utf-8")
    except OSError as problem:
        raise UsageError(f"{file} cannot be read: {problem.strerror or problem}") from None
    except UnicodeDecodeError as problem:
        raise UsageError(f"{file} is not UTF-8 text: byte {problem.start} cannot be read") from None
    return _Letter(letters[0].consignee, file, text, ())


def _record(author: Author, case: str, method: str, letters: list[_Letter], *, write: bool) -> None:
    with author.writing() as hand:
        for place, letter in enumerate(letters):
            # What the person saw was the case before the first of these letters.
            own = hand if place == 0 else case_acts.CaseAuthor(hand.booking, hand.stamp)
            digest = hashlib.sha256(letter.text.encode()).hexdigest()
            case_acts.notify(own, case, letter.consignee, method, digest)
        # NewEntry before the commit: a letter that cannot be written is not recorded as sent.
        if write:
            # All are looked at first: a folder that holds some of the letters would stop the next try.
            for letter in letters:
                _require_room(letter.file)
            for letter in letters:
                with whole_file(letter.file, "The notice") as part:
                    part.write_bytes(letter.text.encode())
    for letter in letters:
        say(f"{letter.file}: notice to {letter.consignee} by {method}, recorded.")


def _require_room(file: Path) -> None:
    if not file.parent.is_dir():
        raise UsageError(
            f"The notice cannot be written: there is no folder {file.parent}. Make it, or give another with --out."
        )
    if file.exists():
        raise UsageError(f"{file} is there already: a notice is never overwritten")


def _warned(letters: list[_Letter], *, safety: bool) -> bool:
    """Say on the error stream what is missing, and which words a safety notice must not have."""
    warned = False
    for letter in letters:
        if letter.gaps:
            warned = True
            say(f"Notice to {letter.consignee}: not given: {', '.join(letter.gaps)}.", err=True)
        for line, word in words_that_play_down(letter.text) if safety else ():
            warned = True
            say(
                f"Notice to {letter.consignee}, line {line}: {word!r} plays the risk down; EU 2023/988 Art. 36 bars "
                "such words (not checked against the original text).",
                err=True,
            )
    return warned
