"""Control charts in a browser: each point leads to its disc."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from runout import ChartAsked, ChartedDisc, ChartKind, OpenLedger, open_ledger
from tracelink.clock import local_now
from tracelink.errors import UsageError
from tracelink.report.format.document import Document
from tracelink.report.format.plain import imprint
from tracelink.web.frame import framed
from tracelink.web.whole_numbers import whole_number

_ASKED = ("code", "test", "chart", "size")
_MOST_SIZE = 999
_BESIDE = (
    ("/capability", "Does a process keep its limits?"),
    ("/samples", "Samples to draw, readings due"),
)
_WORDS = {
    ChartKind.INDIVIDUALS: "each value",
    ChartKind.XBAR_R: "means and ranges",
    ChartKind.XBAR_S: "means and standard deviations",
    ChartKind.EWMA: "weighted means",
    ChartKind.CUSUM: "sums above and below",
    ChartKind.P: "share bad",
    ChartKind.NP: "number bad",
    ChartKind.C: "defects of a disc",
    ChartKind.U: "defects for each disc",
}


class ChartPages:
    """Charts of tools and presses."""

    def __init__(self, place: str) -> None:
        """Read one ledger.

        Args:
            place: its path or URL.
        """
        self._place = place

    def chart(self, request: Request) -> Response:
        """Show the form, and below it the chart that was asked for."""
        given = {name: request.query_params.get(name, "").strip() for name in _ASKED}
        with open_ledger(self._place, read_only=True) as ledger:
            tests = [*(test.name for test in ledger.lab.tests()), "judged"]
            view = {
                "given": given,
                "tests": tests,
                "kinds": {kind.value: word for kind, word in _WORDS.items()},
            }
            return HTMLResponse(
                framed(_document(ledger, given), "chart.html.j2", kind="chart", links=_BESIDE, **view)
            )


def _document(ledger: OpenLedger, given: dict[str, str]) -> Document:
    at = local_now()
    if not given["code"]:
        return Document("Page", "Control chart", imprint(ledger.head, at, seen="Read"), "", ())
    size = whole_number(given["size"], _MOST_SIZE)
    if given["size"] and size is None:
        raise UsageError(f"discs for each point: {given['size']!r}, expected a whole number such as 5")
    asked = ChartAsked(given["test"], given["chart"] or ChartKind.INDIVIDUALS.value, size)
    return ledger.lab.chart(given["code"], asked).to_document(at, _address)


def _address(disc: ChartedDisc) -> str:
    return f"/thing/{disc.sample}"
