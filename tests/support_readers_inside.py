"""Readers of forms that a changed byte makes unreadable as a whole: what stands inside is damaged, and then packed as it should be."""

import io
import json
import zipfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import zxingcpp
from openpyxl import Workbook
from PIL import Image
from support_assembly import assembly_data
from support_bundle import PLANT, small_bundle
from support_cli import write_plant_file
from support_damage import damaged_json
from support_plant import gtin, n, plant_data, raw
from support_reader import Reader

from tracelink.devices.images import read_image
from tracelink.report.bundle import verify_bundle
from tracelink.services.desks.order_files import COLUMNS, read_orders
from tracelink.services.upkeep.plant_files import read_file

SHEET = "xl/worksheets/sheet1.xml"
ORDERS = [n("O1"), "Example Dogwood Distribution", "DE", gtin(1), "25"]


def named(files: dict[str, bytes]) -> list[bytes]:
    """Return each file as one input: its name, a line end, and what is in it."""
    return [name.encode() + b"\n" + content for name, content in files.items()]


def with_one_changed(files: dict[str, bytes], data: bytes, otherwise: str) -> dict[str, bytes]:
    """Return `files` with what `data` says in the place of the file that it names, or of `otherwise`."""
    name, _, content = data.partition(b"\n")
    place = name.decode("latin-1")
    return {**files, place if place in files else otherwise: content}


def plants() -> list[dict[str, Any]]:
    """Return a plant of discs, and one with an assembly hall as well."""
    discs, hall = plant_data(), assembly_data()
    both = {
        name: [*discs.get(name, ()), *hall.get(name, ())] for name in {**discs, **hall} if name != "plant"
    }
    return [discs, {"plant": discs["plant"], **both}]


def order_workbook() -> bytes:
    """Return a workbook with one order."""
    book, made = Workbook(), io.BytesIO()
    for row in (COLUMNS, ORDERS):
        book.active.append(row)
    book.save(made)
    return made.getvalue()


def tag() -> Image.Image:
    """Return a drawn tag of a master."""
    return Image.fromarray(zxingcpp.create_barcode(n("P1"), zxingcpp.BarcodeFormat.Code128).to_image(scale=3))


@cache
def bundle_files() -> dict[str, bytes]:
    """Return the files of a small audit bundle."""
    return dict(small_bundle(earlier=11))


def is_whole(answer: Any, data: bytes) -> bool:
    """Say whether a bundle that verifies is the one that was written."""
    files, result = answer
    return bool(result.code == 3 or files == bundle_files())


def read_bundle(data: bytes, _: Path) -> Any:
    """Return the files of a packed bundle and what verifying it comes to."""
    files, odd = verify_bundle.read_zip(data)
    return files, verify_bundle.verify(files, odd, [verify_bundle.parse_key(PLANT.key)])


def _bundle_of_files(data: bytes, file: Path) -> Any:
    return read_bundle(
        verify_bundle.pack_zip(with_one_changed(bundle_files(), data, verify_bundle.ABOUT)), file
    )


@cache
def _book_files() -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(order_workbook())) as book:
        return {name: book.read(name) for name in book.namelist()}


def _orders(data: bytes, file: Path) -> Any:
    with zipfile.ZipFile(file, "w") as book:
        for name, content in with_one_changed(_book_files(), data, SHEET).items():
            book.writestr(name, content)
    return read_orders(str(file))


def _plant_of_values(data: bytes, file: Path) -> Any:
    try:
        write_plant_file(file, json.loads(data))
    except (ValueError, TypeError, AttributeError):
        file.write_bytes(data)
    return read_file(file, new_ledger=True)


def _picture_of_pixels(data: bytes, file: Path) -> Any:
    width, height = tag().size
    Image.frombytes("L", (width, height), data[: width * height].ljust(width * height, b"\0")).save(file)
    return read_image(file)


def is_the_tag(answer: Any, _: bytes) -> bool:
    """Say whether what was read in a damaged picture of the tag is the tag, and nothing else."""
    return bool(answer == [raw("P1")])


def _as_inputs(make: Callable[[], list[bytes]]) -> Callable[[Path], list[bytes]]:
    return lambda _: make()


INSIDE: dict[str, Reader] = {
    "bundle, damaged before it was packed": Reader(_as_inputs(lambda: named(bundle_files())), _bundle_of_files, accepted=is_whole, share=5),
    "order workbook, damaged before it was packed": Reader(_as_inputs(lambda: named(_book_files())), _orders, suffix=".xlsx", share=8),
    "plant file of other values": Reader(_as_inputs(lambda: [json.dumps(each).encode() for each in plants()]), _plant_of_values, damaged_json, suffix=".toml", share=8),
    "picture of other pixels": Reader(_as_inputs(lambda: [tag().convert("L").tobytes()]), _picture_of_pixels, suffix=".png", accepted=is_the_tag, share=5),
}  # fmt: skip
