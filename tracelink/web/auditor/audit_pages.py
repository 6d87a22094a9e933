"""The desk for auditors: what the journal holds, verifying it, checkpoints, proofs, bundles."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import cached_property
from http import HTTPStatus
from pathlib import Path
from typing import TYPE_CHECKING

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response

from runout import open_ledger
from tracelink.errors import LedgerError, UsageError
from tracelink.ledger.count_words import counted
from tracelink.report.format.document import Bullets, FactList, FramedNote, Section, TextBlock
from tracelink.report.format.table import Column, Kind, table
from tracelink.web.auditor.kept_notes import pasted
from tracelink.web.auditor.long_jobs import JobResult, LongJob, LongJobs
from tracelink.web.entrance.entrance import Entrance
from tracelink.web.lists.page_parts import section, shown

if TYPE_CHECKING:
    from runout import ExportOptions, KeptOutside

_KINDS = (Column("kind", "kind of entry"), Column("count", "how many", Kind.COUNT))
_JUDGED = (
    ("scans", "scans judged again"),
    ("forced", "entries they force"),
    ("given", "entries of commands"),
    ("not_judged", "entries not judged"),
)
_ROOMS = (
    ("/journal", "Look through the entries"),
    ("/audit/rules", "Rules of record keeping"),
    ("/drill", "Drills"),
)


class AuditPages:
    """What shows an auditor that the records are whole."""

    def __init__(self, entrance: Entrance, jobs: LongJobs) -> None:
        """Read the ledger behind an entrance.

        Args:
            entrance: who may come in.
            jobs: where long questions are answered.
        """
        self._entrance = entrance
        self._place = entrance.place
        self._jobs = jobs

    @cached_property
    def _folder(self) -> Path:
        """Where bundles lie until the server ends."""
        self._kept = tempfile.TemporaryDirectory(prefix="runout-")
        return Path(self._kept.name)

    def close(self) -> None:
        """Remove the bundles that were made."""
        if "_folder" in self.__dict__:
            self._kept.cleanup()
            del self._folder

    def page(self, request: Request) -> Response:
        """Show what the journal holds, and what can be asked of it."""
        with open_ledger(self._place, read_only=True) as ledger:
            counts = ledger.journal.counts()
            rows = sorted(counts.kinds.items())
            facts = (
                ("entries", str(counts.head[0])),
                ("hash of the last one", counts.head[1]),
                ("key to check signatures with", _public_key(self._place)),
            )
            sections = (
                section("The journal", FactList(facts)),
                section("Its entries by kind", table("", "Entries", _KINDS, rows)),
            )
            code = request.query_params.get("code", "")
            return shown(ledger, "For auditors", sections, _ROOMS, template="audit.html.j2", code=code)

    def verify(self, request: Request, fields: Mapping[str, str]) -> Response:
        """Begin to verify the journal, against what was kept outside if anything is given."""
        self._entrance.require_same_origin(request)
        again = "judge_again" in fields
        with open_ledger(self._place, read_only=True) as ledger:
            total = ledger.head[0]
        # Judging is a second way through all of it, and by far the longer one.
        job = LongJob("Verify the journal", 2 * total if again else total)
        self._jobs.start(job, lambda running: self._verified(running, fields, again=again))
        return RedirectResponse("/audit/job", HTTPStatus.SEE_OTHER)

    def bundle(self, request: Request, fields: Mapping[str, str]) -> Response:
        """Begin to make a bundle that others can check without the ledger and without this program."""
        self._entrance.require_same_origin(request)
        code = fields.get("code", "").strip()
        if not code:
            raise UsageError("what the bundle is about is empty: expected a code, or the name of a consignee")
        from runout import ExportOptions  # noqa: PLC0415  the server starts without it

        options = ExportOptions(pseudonyms="pseudonyms" in fields, unsigned="signed" not in fields)
        if not options.unsigned:
            self._require_named(request, "sign a bundle")
        with open_ledger(self._place, read_only=True) as ledger:
            total = 2 * ledger.head[0]
        job = LongJob(f"Bundle of {code[:60]}", total)
        self._jobs.start(job, lambda running: self._bundled(running, code, options))
        return RedirectResponse("/audit/job", HTTPStatus.SEE_OTHER)

    def checkpoint(self, request: Request, _fields: Mapping[str, str]) -> Response:
        """Sign how many entries there are and what they are; whoever asks is signed in."""
        self._entrance.require_same_origin(request)
        self._require_named(request, "sign a checkpoint")
        with open_ledger(self._place, read_only=True) as ledger:
            made = ledger.journal.checkpoint()
        saved = {"Content-Disposition": f'attachment; filename="checkpoint-{made.size}.txt"'}
        return Response(made.text, media_type="text/plain; charset=utf-8", headers=saved)

    def job(self, _request: Request) -> Response:
        """Show how far the long question is, or what it came to."""
        job = self._jobs.last
        with open_ledger(self._place, read_only=True) as ledger:
            if job is None:
                asked = section(
                    "Nothing was asked", TextBlock("No question was asked since the server began.")
                )
                return shown(ledger, "For auditors", [asked], (("/audit", "Ask one"),))
            if job.is_running:
                steps = f"{job.percent} %: {counted(job.done, 'step')} of {job.total} at most."
                sections: tuple[Section, ...] = (section("Being answered", TextBlock(steps)),)
                return shown(
                    ledger, job.title, sections, (("/audit/job", "Look again"),), script="/progress.js"
                )
            if job.problem:
                sections = (section("Not answered", FramedNote(job.problem, loud=True)),)
            else:
                assert job.result is not None, "it is neither running nor stopped"
                sections = job.result.sections
            file = job.result.file if job.result is not None else None
            links = [] if file is None else [(f"/audit/bundle/{file.name}", f"Download {file.name}")]
            return shown(ledger, job.title, sections, [*links, ("/audit", "Ask something else")])

    def file(self, request: Request) -> Response:
        """Give a bundle that was made."""
        job, name = self._jobs.last, request.path_params["name"]
        file = None if job is None or job.result is None else job.result.file
        if file is None or file.name != name:
            raise UsageError("that bundle is not kept any more: make it again")
        return FileResponse(file, filename=name, media_type="application/zip")

    def _require_named(self, request: Request, deed: str) -> None:
        if self._entrance.session(request) is None:
            sentence = f"whoever would {deed} in the name of the plant signs in first"
            self._entrance.refused(request, deed, sentence, is_recorded=False)
            raise HTTPException(HTTPStatus.FORBIDDEN, sentence)

    def _verified(self, job: LongJob, fields: Mapping[str, str], *, again: bool) -> JobResult:
        from runout import KeptOutside  # noqa: PLC0415  the server starts without it

        with _kept(fields) as kept, open_ledger(self._place, read_only=True) as ledger:
            found = ledger.verify(kept, judge_again=again, progress=job.step)
        [row] = found.to_dict()
        facts = [
            ("differences", str(row["differences"])),
            ("entries", str(row["entries"])),
            ("head", str(row["head"])),
            ("root", str(row["root"])),
            ("heads kept outside that agree", str(row["kept"])),
            *((words, str(row[name])) for name, words in _JUDGED if again),
        ]
        agree = tuple(f"{name}: agrees with the first {size} entries." for name, size in found.agreeing)
        notes = (FramedNote(sentence, loud=True) for sentence in (*found.faults, *found.clock))
        more = found.more + found.more_clock
        left = (TextBlock(f"{more} more are not told one by one."),) if more else ()
        alone = (
            ()
            if kept != KeptOutside()
            else (
                TextBlock(
                    "Nothing kept outside was compared: a journal that somebody wrote anew, or cut off, shows only "
                    "against a checkpoint or head from before."
                ),
            )
        )
        blocks = (FactList(tuple(facts)), *notes, *left, *((Bullets(agree),) if agree else ()), *alone)
        return JobResult((section("What was found", *blocks),))

    def _bundled(self, job: LongJob, code: str, options: ExportOptions) -> JobResult:
        folder = tempfile.mkdtemp(prefix="bundle-", dir=self._folder)
        with open_ledger(self._place, read_only=True) as ledger:
            out = Path(folder) / f"audit-{_file_name(code)}.zip"
            made = ledger.export(code, out, options, job.step)
        facts = (
            ("about", made.subject),
            ("files", str(made.files)),
            ("bytes", str(made.size)),
            ("key to check it with", made.key or "none: it is not signed by a key that we know"),
        )
        how = TextBlock(
            "Whoever gets it runs verify.py inside it, which needs neither the ledger nor this program."
        )
        return JobResult((section("The bundle", FactList(facts), how),), made.place)


def _file_name(code: str) -> str:
    return "".join(one if one.isascii() and one.isalnum() else "-" for one in code)[:40]


def _public_key(place: str) -> str:
    try:
        from runout import signing_key  # noqa: PLC0415  the server starts without it

        return signing_key(place).public
    except LedgerError:
        return "none is here"


@contextmanager
def _kept(fields: Mapping[str, str]) -> Iterator[KeptOutside]:
    """Return what was kept outside, as it was typed or pasted into the form."""
    from runout import KeptOutside  # noqa: PLC0415  the server starts without it

    head, key = (fields.get(name, "").strip() for name in ("head", "key"))
    heads, keys = tuple(filter(None, [head])), tuple(filter(None, [key]))
    with pasted(fields.get("checkpoint", "")) as file:
        yield KeptOutside(() if file is None else (file,), keys, heads)
