"""Every reader of what comes from outside, with good inputs to damage, and what an accepted one must satisfy."""

import io
import json
import random
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from support_bundle import PLANT, checkpoint
from support_cli import station_log, write_plant_file
from support_damage import damaged_json, damaged_lines
from support_partners import event
from support_plant import LINE, gtin, n, raw
from support_reader import Reader, in_file, text_of, texts
from support_readers_inside import (
    INSIDE,
    ORDERS,
    bundle_files,
    is_the_tag,
    is_whole,
    order_workbook,
    plants,
    read_bundle,
    tag,
)
from support_readers_own import OWN

from tracelink.datadir import data_dir
from tracelink.devices import wedge
from tracelink.devices.images import read_image
from tracelink.devices.serialport import LineBuffer
from tracelink.devices.stationlog import read_log
from tracelink.devices.unread_bars import read_picture_file
from tracelink.identity.anycode.code_reader import read_code
from tracelink.identity.gs1.digitallink import parse_link, write_link
from tracelink.identity.gs1.elements import parse_elements, write_elements
from tracelink.identity.gs1.epc import parse_epc
from tracelink.identity.reading import PlantRead, read_scan
from tracelink.ledger.proof.note import parse_checkpoint, parse_note
from tracelink.ledger.times import instant, require_local_time
from tracelink.printing.batch import read_rows
from tracelink.printing.layout import load_layout
from tracelink.report.bundle import verify_bundle
from tracelink.report.case.letter_template import filled
from tracelink.report.epcis.offers import read_offers
from tracelink.report.format.strictjson import read_json
from tracelink.services.cases.scope_check import _document as _document_of
from tracelink.services.desks.agreement_files import gauge_agreement, inspector_agreement
from tracelink.services.desks.order_files import COLUMNS, read_orders
from tracelink.services.floor.away.away_log import AwayLog, AwayScan
from tracelink.services.table_files import TableForm, read_table
from tracelink.services.upkeep.plant_files import read_file
from tracelink.web.station.page_requests import fields_in

FOLDER = Path(__file__).parent
LAYOUT = "sample-tag"
LINK = f"https://example.com/01/0{gtin(1)}/21/A7?17=310228"
EPCS = (
    "urn:epc:id:sgtin:9520000.012345.A%2F7",
    "urn:epc:id:sscc:9520000.1234567890",
    "urn:epc:class:lgtin:9520000.012345.L1",
)
SCANS = ("P1", "T4", "L1", "K41", "B3", "STOP", "carton 1", "pallet 1", "disc 4.2", "sleeve 1", "sleeve 3 no 2", "#12", '"mass=1.5 g')  # fmt: skip
DOCUMENT = {
    "@context": [
        "https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld",
        {"m": "https://maker.example.com/"},
    ],
    "type": "EPCISDocument",
    "schemaVersion": "2.0",
    "creationDate": "2031-03-02T12:00:00Z",
    "epcisBody": {
        "eventList": [
            {
                "type": "ObjectEvent",
                "eventTime": "2031-03-02T08:15:00.000+01:00",
                "eventTimeZoneOffset": "+01:00",
                "action": "OBSERVE",
                "bizStep": "receiving",
                "quantityList": [
                    {"epcClass": "https://maker.example.com/lot/7", "quantity": 71.5, "uom": "KGM"}
                ],
            }
        ]
    },
}

SAYS_OF_PARTS = {"m:part": "EX-1001", "m:revision": "1", "m:supplierLot": "SL-900", "m:dateCode": "3120"}
OF_PARTS = event(1, (f"https://maker.example.com/lot/{n('M21')}", {"quantity": 500}), ilmd=SAYS_OF_PARTS)
PARTS_DOCUMENT = {**DOCUMENT, "epcisBody": {"eventList": [OF_PARTS]}}


def _is_plant_code_written_back(answer: Any, data: bytes) -> bool:
    """What was read as a plant code, written again, is what stands behind the symbology identifier."""
    return not isinstance(answer, PlantRead) or text_of(data).strip("\r\n").endswith(answer.code.text)


def _elements_stay(answer: dict[str, str], data: bytes) -> bool:
    return parse_elements(write_elements(list(answer.items()))) == answer


def _serial(data: bytes, _: Path) -> list[str]:
    buffer = LineBuffer("~")
    return [*buffer.feed(data), *buffer.rest("")]


def _note(data: bytes, _: Path) -> Any:
    return parse_checkpoint(parse_note(data).text)


def _document(data: bytes, file: Path) -> Any:
    return read_offers(read_json(data, file.name), {"https://maker.example.com/lot/7": n("B1")})


def _away_log(folder: Path) -> list[bytes]:
    log = AwayLog(folder / "away.jsonl", LINE)
    log.add(AwayScan("2031-03-04T09:00:00.000+01:00", raw("disc 4.2"), "NEXT"))
    log.add(AwayScan("2031-03-04T09:00:02.000+01:00", raw("sleeve 1"), "MATCH"))
    log.begin(7)
    return [log.file.read_bytes()]


def _plant_files(folder: Path) -> list[bytes]:
    return [write_plant_file(folder / "good.toml", data).read_bytes() for data in plants()]


def _message(data: bytes, _: Path) -> Any:
    sent = fields_in(text_of(data))
    return sent.text("token"), sent.number("number"), sent.text("raw")


def _instrument(file: Path) -> Any:
    form = TableForm(";", ",", "%d.%m.%Y %H:%M")
    return read_table(str(file), "results file", ["disc", "mass", "when"], list, form)


def _log(folder: Path) -> list[bytes]:
    return [station_log(folder / "good.jsonl", LINE, [raw(each) for each in SCANS]).read_bytes()]


def _orders_csv(_: Path) -> list[bytes]:
    return [f"{mark.join(COLUMNS)}\n{mark.join(ORDERS)}\n".encode() for mark in ",;"]


def _picture(_: Path) -> list[bytes]:
    made = []
    for form in ("PNG", "JPEG"):
        file = io.BytesIO()
        tag().save(file, form)
        made.append(file.getvalue())
    return made


def _layout(file: Path) -> Any:
    return load_layout(file.stem, file.parent)


READERS: dict[str, Reader] = {
    "scan": Reader(texts(*(raw(each) for each in SCANS)), lambda data, _: read_scan(text_of(data)), accepted=_is_plant_code_written_back, share=400),
    "elements": Reader(texts(f"010{gtin(1)}", f"8006{'0' + gtin(2)}0102\x1d21A7", "00395200001234567890"), lambda data, _: parse_elements(text_of(data)), accepted=_elements_stay, share=150),
    "link": Reader(texts(LINK), lambda data, _: parse_link(text_of(data)), accepted=lambda answer, _: parse_link(write_link(answer)) == answer, share=80),
    "epc": Reader(texts(*EPCS), lambda data, _: parse_epc(text_of(data)), share=80),
    "any code": Reader(texts(*(raw(each) for each in SCANS), LINK, *EPCS), lambda data, _: read_code(text_of(data), 2031), share=40),
    "time": Reader(texts("2031-03-04T09:00:00+01:00"), lambda data, _: require_local_time(text_of(data)), accepted=lambda answer, _: bool(instant(answer)), share=60),
    "keyboard": Reader(texts("\n".join(raw(each) for each in SCANS)), lambda data, _: list(wedge.lines(io.BytesIO(data), "~")), share=20),
    "serial": Reader(texts("\r\n".join(raw(each) for each in SCANS)), _serial, share=20),
    "station log": Reader(_log, in_file(read_log), damaged_lines, share=50),
    "scans made while the ledger was away": Reader(_away_log, in_file(lambda file: AwayLog(file, LINE).waiting), damaged_lines, share=20),
    "message of a station page": Reader(texts(json.dumps({"token": "a1", "number": 7, "raw": raw("sleeve 3 no 2")})), _message, damaged_json, share=20),
    "file of an instrument": Reader(texts("disc;mass;when\nd1;180,5;04.03.2031 09:00\nd2;179;04.03.2031 09:01\n"), in_file(_instrument), suffix=".csv", share=10),
    "note": Reader(lambda _: [checkpoint(3, bytes(32), PLANT)], _note, share=30),
    "partner document": Reader(lambda _: [json.dumps(each).encode() for each in (DOCUMENT, PARTS_DOCUMENT)], _document, damaged_json, share=25),
    "bundle": Reader(lambda _: [verify_bundle.pack_zip(bundle_files())], read_bundle, accepted=is_whole, share=5),
    "order list": Reader(_orders_csv, in_file(lambda file: read_orders(str(file))), suffix=".csv", share=10),
    "order workbook": Reader(lambda _: [order_workbook()], in_file(lambda file: read_orders(str(file))), suffix=".xlsx", share=4),
    "verdicts of inspectors": Reader(texts("disc,person,verdict\nd1,Ada,good\nd1,Ben,bad\nd2,Ada,good\nd2,Ben,good\n"), in_file(lambda file: inspector_agreement(str(file))), suffix=".csv", share=10),
    "readings of a gauge": Reader(texts("disc,person,value\nd1,Ada,1.2\nd1,Ada,1.3\nd1,Ben,1.2\nd1,Ben,1.4\n"), in_file(lambda file: gauge_agreement(str(file))), suffix=".csv", share=10),
    "scope": Reader(texts('{"cause":"T000004H","head":{"seq":1,"hash":"00"},"containers":[]}'), in_file(lambda file: _document_of(str(file))), damaged_json, suffix=".json", share=10),
    "plant file": Reader(_plant_files, in_file(lambda file: read_file(file, new_ledger=True)), suffix=".toml", share=10),
    "label list": Reader(texts(f"code,lot,stroke,drawn\n{n('S1')},{n('L1')},12,2031-03-04\n"), in_file(lambda file: read_rows(file, load_layout(LAYOUT))), suffix=".csv", share=10),
    "label layout": Reader(lambda _: [(data_dir("labels") / f"{LAYOUT}.toml").read_bytes()], in_file(_layout), suffix=".toml", share=5),
    "letter": Reader(texts("Dear {{ name }},\n{% for row in rows %}{{ row }}{% endfor %}\n"), in_file(lambda file: filled("notice", "notice.txt", file, {"name": "x", "rows": [1, 2]})), share=10),
    **OWN,
    **INSIDE,
    "picture of a camera": Reader(_picture, in_file(read_picture_file), suffix=".png", accepted=lambda answer, data: is_the_tag(answer[0], data), share=8),
    "picture": Reader(_picture, in_file(read_image), suffix=".png", accepted=is_the_tag, share=8),
}  # fmt: skip


def inputs(reader: Reader, seeds: Sequence[bytes], seed: int, count: int) -> list[bytes]:
    """Return damaged inputs of a reader; the same for the same seed."""
    rng = random.Random(seed)
    return [reader.damage(rng, seeds) for _ in range(count)]
