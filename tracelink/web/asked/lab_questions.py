"""What to draw and to open, and whether a process keeps its limit."""

from __future__ import annotations

from urllib.parse import urlencode

from runout import LotSamples, OpenLedger, SamplingAsked
from tracelink.clock import local_now
from tracelink.errors import UsageError
from tracelink.ledger.count_words import counted
from tracelink.quality.cannot_tell import CannotTell
from tracelink.quality.sampling.attribute_tables import LEVELS, InspectionSeverity
from tracelink.report.format.document import Block, Bullets, Picture, TextBlock
from tracelink.report.format.table import table
from tracelink.report.pages import carton_check_text, chart_text, samples_text
from tracelink.web.acts.act_forms import Choices, FormField, FormFieldKind, Given
from tracelink.web.asked.question_pages import PageAnswer, PageQuestion
from tracelink.web.lists.page_parts import section
from tracelink.web.whole_numbers import whole_number

_SAME = "The sentences above say the same in words."
_LEVEL, _SURE = "II", "95"
_MOST = 999_999_999


def _whole(given: Given, name: str, usual: str | None = None) -> int | None:
    text = given.get(name, usual)
    if text is None:
        return None
    found = whole_number(text, _MOST)
    if found is None:
        raise UsageError(f"{name.replace('_', ' ')} is {text[:20]!r}: expected a whole number")
    return found


def _samples(ledger: OpenLedger, given: Given) -> PageAnswer:
    if "lot" not in given:
        return _due(ledger)
    asked = SamplingAsked(
        given.get("aql"),
        given.get("level", _LEVEL),
        given.get("severity", InspectionSeverity.NORMAL.value),
        given.get("detect"),
        _whole(given, "confidence", _SURE) or 0,
        _whole(given, "one_in"),
        given.get("inspection"),
    )
    found = ledger.lab.samples(given["lot"], asked)
    rows = samples_text.rows(found.strokes)
    first, *more = samples_text.sentences(found)
    listed = table("", "Discs to draw", samples_text.SCREEN, rows, "No disc is to be drawn.")
    told: tuple[Block, ...] = (TextBlock(first), *((Bullets(tuple(more)),) if more else ()))
    return PageAnswer(
        f"Samples of lot {found.lot}",
        (section("What the plan asks for", *told, *_curve(found)), section("Discs to draw", listed)),
        rows,
        samples_text.COLUMNS,
        found.to_dict(),
        ((f"/thing/{found.lot}", f"Lot {found.lot}"), ("/samples", "Readings that are due")),
    )


def _curve(found: LotSamples) -> tuple[Picture, ...]:
    if found.plan is None or found.plan.whole_lot:
        return ()
    return (Picture(found.to_svg(local_now()), _SAME),)


def _due(ledger: OpenLedger) -> PageAnswer:
    found = ledger.lab.due()
    rows = found.to_dict()
    listed = table("", "Readings due", samples_text.DUE_COLUMNS, rows, "No reading of a slow test is due.")
    told = TextBlock(f"{counted(found.late, 'reading')} due by {found.day}.")
    return PageAnswer(
        "Samples of a lot, and readings that are due",
        (section("Readings of slow tests that nobody took yet", told, listed),),
        rows,
        samples_text.DUE_COLUMNS,
    )


def _cartons(ledger: OpenLedger, given: Given) -> PageAnswer:
    found = ledger.warehouse.cartons_to_open(
        given["of"], confidence=_whole(given, "confidence", _SURE) or 0, detect=given.get("detect", "5")
    )
    rows = found.to_dict()
    listed = table("", "Cartons", carton_check_text.COLUMNS, rows, "No carton.")
    draw = (f"/act/draw-cartons?{urlencode({'of': found.subject})}", "Draw the cartons")
    return PageAnswer(
        f"Cartons of {found.subject} to open",
        (
            section(
                "What to open",
                TextBlock(carton_check_text.check_sentence(found, "“Draw the cartons”")),
                listed,
            ),
        ),
        rows,
        carton_check_text.COLUMNS,
        links=(draw,) if not found.sample or found.came_since else (),
    )


def _tests(ledger: OpenLedger, _given: Given) -> Choices:
    return tuple((test.name, f"{test.name} in {test.unit}") for test in ledger.lab.tests())


def _capability(ledger: OpenLedger, given: Given) -> PageAnswer:
    if "test" not in given:
        raise UsageError("the test is missing: choose what was measured")
    found = ledger.lab.capability(given["code"], given["test"])
    first, *more = chart_text.capability_sentences(found.found, found.limit, found.unit)
    rows = chart_text.capability_rows(found.found)
    sections = [section("What the values say", TextBlock(first), *((Bullets(tuple(more)),) if more else ()))]
    if not isinstance(found.found, CannotTell):
        columns = chart_text.CAPABILITY_COLUMNS
        sections.append(section("Each index with its interval", table("", "Indices", columns, rows)))
    chart = urlencode({"code": found.subject, "test": found.test, "chart": "individuals"})
    return PageAnswer(
        f"Does {found.subject} keep the limit of {found.test}?",
        tuple(sections),
        rows,
        chart_text.CAPABILITY_COLUMNS,
        found.to_dict(),
        ((f"/chart?{chart}", "The chart of these values"), (f"/thing/{found.subject}", found.subject)),
    )


def _more(name: str, label: str, kind: FormFieldKind = FormFieldKind.TEXT, hint: str = "") -> FormField:
    return FormField(name, label, kind, is_needed=False, hint=hint, longest=20, is_more=True)


def _chosen(name: str, label: str, words: tuple[str, ...]) -> FormField:
    choices = tuple((word, word) for word in words)
    return FormField(name, label, FormFieldKind.CHOICE, is_needed=False, choices=choices, is_more=True)


SAMPLES = PageQuestion(
    "samples",
    "Samples of a lot",
    "Show",
    (
        FormField("lot", "Lot", FormFieldKind.CODE, is_needed=False, longest=40),
        _more("aql", "AQL: bad discs in a hundred, by the tables", hint="Such as 1.5."),
        _chosen("level", "Inspection level", LEVELS),
        _chosen("severity", "Which table", tuple(each.value for each in InspectionSeverity)),
        _more("detect", "Instead: the share of bad discs to speak against, in percent"),
        _more("confidence", "How sure that plan is to find a bad one, in percent", FormFieldKind.NUMBER),
        _more("inspection", "Kind of inspection, of a product with several kept plans"),
        _more("one_in", "Also one disc in so many", FormFieldKind.NUMBER),
    ),
    _samples,
    told="Which discs of a lot the lab draws, why, and what of it is done. Nothing is written by asking, and asking again draws no "
    "others.",
)
CARTONS = PageQuestion(
    "cartons-to-open",
    "Cartons to open",
    "Show",
    (
        FormField("of", "Pallet or lot", FormFieldKind.CODE, longest=40),
        _more("confidence", "How sure the check is, in percent", FormFieldKind.NUMBER),
        _more("detect", "The share of wrong cartons that it speaks against, in percent"),
    ),
    _cartons,
    needs="of",
    told="Which cartons is drawn once and kept: asking again, or for another share, changes nothing of it.",
)
CAPABILITY = PageQuestion(
    "capability",
    "Does a process keep its limit?",
    "Show",
    (
        FormField("code", "Tool, press or lot", FormFieldKind.CODE, longest=40),
        FormField("test", "Lab test", FormFieldKind.CHOICE, choices=_tests),
    ),
    _capability,
    needs="code",
    told="Where the data do not allow an answer, the page says why: too few values, all alike, not in control, not normal, no "
    "limit.",
    links=(("/chart", "Charts"),),
)
