"""Answers to an auditor: where the discs went, whether they add up, and what happened beside the flow."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping

from tracelink.facts.bundle_content import BundleFacts
from tracelink.ledger.count_words import counted, grouped, signed
from tracelink.ledger.lateness import Lateness
from tracelink.ledger.time_words import moment
from tracelink.report.bundle.answer_words import Row, Rows, by_whom, few, number, period, sentence, total


def _stacks(rows: Rows) -> str:
    cards = few((str(row["spindle"]) for row in rows), joint=", ")
    return sentence(
        f"{total(rows, 'discs')} discs in {counted(len({row['spindle'] for row in rows}), 'stack')} ({cards}){period(rows, 'stacked_at')}"
    )


def _runs(rows: Rows) -> str:
    lines = few((str(row["line"]) for row in rows), joint=", ")
    sleeves = few((str(row["sleeves"]) for row in rows), joint=", ")
    return sentence(
        f"{total(rows, 'units')} units in {counted(len(rows), 'run')} at {lines}, sleeves {sleeves}"
        f"{period(rows, 'first_match', 'last_match')}{by_whom(rows, 'by')}"
    )


def _cartons(rows: Rows) -> str:
    by_status = Counter(str(row["status"]) for row in rows)
    said = ", ".join(f"{grouped(count)} {status}" for status, count in by_status.most_common())
    shipped = sum(1 for row in rows if row["shipment"])
    return sentence(f"{counted(len(rows), 'carton')} ({said}), {grouped(shipped)} of them in a shipment")


def _pallets(rows: Rows) -> str:
    codes = few((str(row["pallet"]) for row in rows), joint=", ")
    return sentence(f"{counted(len(rows), 'pallet')}: {codes}")


def _shipments(rows: Rows) -> str:
    # The column says which discs it counts, and its heading stands in the answer.
    (counted_discs,) = (key for key in rows[0] if key.startswith("discs_"))
    return sentence(
        few(
            f"{row['consignee']} ({row['country']}): {number(row[counted_discs])} {counted_discs.replace('_', ' ')}, "
            f"{number(row['cartons'])} cartons, shipment {row['shipment']}, order {row['order']}, {_left(row)}"
            for row in rows
        )
    )


def _left(row: Row) -> str:
    if row["status"] != "shipped":
        return "not left yet"
    return (
        f"left {moment(str(row['left_at']))}"
        if row["left_at"] != "not recorded"
        else "left, time not recorded"
    )


def _returns(rows: Rows) -> str:
    said = few(f"{str(row['act']).replace('-', ' ')} {row['what']}" for row in rows)
    return sentence(f"{counted(len(rows), 'act')}: {said}{by_whom(rows, 'by', 'witness')}")


def _clearances(rows: Rows) -> str:
    rows = [row for row in rows if row["second_person"]]
    if not rows:
        return "No clearance by two people is recorded."
    pairs = few((f"{row['by']} and {row['second_person']}" for row in rows), joint="; ")
    return sentence(f"{counted(len(rows), 'clearance')} by two people{period(rows, 'at')}: {pairs}")


def _balance(facts: BundleFacts) -> str:
    return sentence(
        few(
            f"lot {balance.lot}: difference {signed(balance.difference)} discs"
            for balance, _ in facts.balances
        )
    )


def _label_balance(rows: Rows) -> str:
    judged = Counter(str(row["judged"]) for row in rows)
    outside = few(f"{row['labels']} ({_difference(row)})" for row in rows if row["judged"] == "OUTSIDE")
    said = ", ".join(f"{grouped(count)} {word}" for word, count in judged.most_common())
    named = f". Outside the limit: {outside}" if outside else ""
    return sentence(f"Of {counted(len(rows), 'label or sleeve issue')}: {said}{named}")


def _difference(row: Row) -> str:
    return signed(row["difference"]) if isinstance(row["difference"], int) else "difference not known"


def _deviations(rows: Rows) -> str:
    kinds = Counter(str(row["what"]).replace("-", " ") for row in rows)
    return sentence(few(f"{kind}: {grouped(count)}" for kind, count in kinds.most_common()))


def _investigations(rows: Rows) -> str:
    still = [str(row["entry"]) for row in rows if row["closed_at"] == "STILL OPEN"]
    opened = counted(len(rows), "investigation")
    return sentence(f"{opened}, STILL OPEN: {few(still, joint=', ')}" if still else f"{opened}, all closed")


def _holds(rows: Rows) -> str:
    return sentence(
        few(
            f"hold {row['hold']}: {row['reason']}, placed {moment(str(row['placed_at']))} by {row['by']}, "
            + (
                "STILL HELD"
                if row["lifted_at"] == "STILL HELD"
                else f"lifted {moment(str(row['lifted_at']))} by {row['by_both']}"
            )
            for row in rows
        )
    )


def _cases(rows: Rows) -> str:
    acts: dict[str, Counter[str]] = {}
    for row in rows:
        acts.setdefault(str(row["case"]), Counter())[str(row["act"]).replace("case-", "")] += 1
    return sentence(
        few(
            f"case {case}: {', '.join(f'{act} {grouped(count)} times' if count > 1 else act for act, count in found.items())}"
            for case, found in acts.items()
        )
    )


def _corrections(rows: Rows) -> str:
    return sentence(
        few(
            f"entry {row['entry']} corrects entry {row['corrects_entry']} ({str(row['kind']).replace('-', ' ')}) by {row['by']}: {row['reason']}"
            for row in rows
        )
    )


def _late(facts: BundleFacts) -> str:
    found = Counter(facts.lateness(entry) for entry in facts.entries)
    return (
        f"Of {counted(len(facts.entries), 'entry', 'entries')}, {grouped(found[Lateness.LATE])} more than "
        f"{facts.late_minutes} minutes late and {grouped(found[Lateness.EARLY])} before their time."
    )


def _acting(rows: Rows) -> str:
    names = few((f"{row['name']} ({row['badge']})" for row in rows), joint=", ")
    return sentence(f"{counted(len(rows), 'person', 'people')}: {names}")


def _stations(rows: Rows) -> str:
    names = few((f"{row['name']} ({row['station']})" for row in rows), joint=", ")
    return sentence(f"{counted(len(rows), 'station')}: {names}")


def _settings(rows: Rows) -> str:
    return f"{counted(len(rows), 'limit or rule', 'limits and rules')} in force, each with its source."


OF_ROWS: Mapping[str, Callable[[Rows], str]] = {
    "stacks": _stacks,
    "packing-runs": _runs,
    "cartons": _cartons,
    "pallets": _pallets,
    "shipments": _shipments,
    "returns": _returns,
    "line-clearance": _clearances,
    "label-balance": _label_balance,
    "deviations": _deviations,
    "investigations": _investigations,
    "holds": _holds,
    "cases": _cases,
    "corrections": _corrections,
    "people": _acting,
    "stations": _stations,
    "settings": _settings,
}
"""Table -> its answer from its rows, of which there is one at least."""

OF_FACTS: Mapping[str, Callable[[BundleFacts], str]] = {
    "balance": _balance,
    "late-entries": _late,
}
"""Table -> its answer from the facts behind it."""
