"""`runout guide`: the pages that come with the program, readable on a machine without network."""

import difflib
import sys
from dataclasses import dataclass
from pathlib import Path

import click

from tracelink.errors import UsageError

FOLDER = Path(__file__).resolve().parents[1] / "guide"
"""Part of the package, so that an installed program has it too."""

ORDER = (
    "start",
    "packing",
    "press",
    "toolroom",
    "process",
    "assembly",
    "lab",
    "charts",
    "warehouse",
    "quality",
    "auditor",
    "administrator",
    "database-server",
    "group",
    "plant-file",
    "act-cards",
    "findings",
    "exit-codes",
    "json",
    "labels",
    "glossary",
    "journal",
    "limits",
    "how-fast",
    "tried-to-break",
    "sources",
    "troubleshooting",
    "api",
    "api-names",
)
"""Pages by task first, then by the way to look things up. A page that is not named here comes after them."""

_FOR_WHOM = "For: "


@dataclass(frozen=True, slots=True)
class GuidePage:
    """One page of the guide."""

    name: str
    """What is typed behind `runout guide`."""
    for_whom: str
    """Who reads it, or what is looked up there; empty if the page does not say."""
    text: str
    """Markdown."""


def guide_pages() -> list[GuidePage]:
    """Return every page in the order of the list."""
    files = {file.stem: file for file in FOLDER.glob("*.md")}
    known = [name for name in ORDER if name in files]
    names = known + sorted(set(files) - set(known))
    return [_page(files[name]) for name in names]


def _page(file: Path) -> GuidePage:
    text = file.read_text(encoding="utf-8")
    lines = (line for line in text.splitlines() if line.startswith(_FOR_WHOM))
    return GuidePage(file.stem, next(lines, "").removeprefix(_FOR_WHOM), text)


def _page_names(_ctx: click.Context, _param: click.Parameter, incomplete: str) -> list[str]:
    return [page.name for page in guide_pages() if page.name.startswith(incomplete)]


@click.command(epilog="Example: runout guide packing")
@click.argument("page", required=False, shell_complete=_page_names)
def guide(page: str | None) -> None:
    """Show a page of the guide; without PAGE, list the pages and who they are for."""
    pages = guide_pages()
    if page is None:
        listed = click.HelpFormatter()
        listed.write_dl([(each.name, each.for_whom) for each in pages])
        click.echo(f"{listed.getvalue()}\nShow one with: runout guide PAGE")
        return
    _show(_find(pages, page).text)


def _find(pages: list[GuidePage], name: str) -> GuidePage:
    by_name = {page.name: page for page in pages}
    wanted = name.lower().removesuffix(".md")
    if wanted not in by_name:
        near = difflib.get_close_matches(wanted, by_name, n=1, cutoff=0.5)
        hint = f" Did you mean {near[0]}?" if near else ""
        raise UsageError(f"There is no guide page {name!r}.{hint} The pages are: {', '.join(by_name)}.")
    return by_name[wanted]


def _show(text: str) -> None:
    if not sys.stdout.isatty():
        click.echo(text, nl=False)
        return
    from rich.console import Console  # noqa: PLC0415  only where there is a terminal to draw on
    from rich.markdown import Markdown  # noqa: PLC0415

    Console().print(Markdown(text))
