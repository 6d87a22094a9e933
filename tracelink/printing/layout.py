"""Label layouts: what is on a label, how large, and where. Read from `labels/NAME.toml`.

The format, all lengths in millimetres from the label's top left corner:

    use = "what the label is for"
    width = 100             # of the label
    height = 50

    [fields.code]           # one table for each value the label needs
    type = "plant-code"     # plant-code, act, gtin, sscc, number or text
    letter = "L"            # plant-code only, optional: first letter the code must have
    most = 8                # number only: how many digits at most
    hint = "code of the lot"

    [[symbol]]              # at least one
    type = "code-128"       # code-128, gs1-128, ean-13, data-matrix or gs1-data-matrix
    data = "{code}"         # code-128, ean-13 and data-matrix: the content
    elements = [["00", "{sscc}"]]  # gs1-128 and gs1-data-matrix: application identifiers and values
    at = [4, 4]             # its corner, quiet zone included
    x = 0.33                # narrowest bar or side of a module; printed in whole dots
    height = 12             # of the bars; linear symbols only
    caption = true          # optional, linear symbols only: the content in letters below

    [[text]]                # any number
    text = "Lot {code}"
    at = [4, 30]
    width = 60              # room for a line
    letter = 4              # height of a capital
    lines = 1               # optional: how many lines it may take, broken at spaces
    align = "left"          # optional: left, centre or right
    shorten = false         # optional: whether a text too long may end in "..."; never for a code

    [[line]]                # any number; a black bar
    at = [4, 28]
    width = 92
    height = 0.5

    [example]               # optional: a value for every field, for the preview
    code = "L000123S"

`{name}` is replaced by a field, `{name:14}` by its digits filled with zeros to 14; see `fields`. A key unknown, missing or
of another type is refused, so that a mistyped one does not do nothing in silence.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import Enum
from pathlib import Path
from types import MappingProxyType

from tracelink.datadir import data_dir
from tracelink.errors import InvalidFormat, UsageError
from tracelink.identity.plantcode import CodeKind
from tracelink.printing.fields import NAME, Field, FieldKind, names_in, read_fields
from tracelink.printing.strict_toml import TomlTable

_LAYOUT_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*", re.ASCII)


class SymbolKind(Enum):
    """The symbols a label may have; the value is the word in a layout file."""

    CODE_128 = "code-128"
    GS1_128 = "gs1-128"
    EAN_13 = "ean-13"
    DATA_MATRIX = "data-matrix"
    GS1_DATA_MATRIX = "gs1-data-matrix"

    @property
    def is_linear(self) -> bool:
        """True if it has bars."""
        return self in {SymbolKind.CODE_128, SymbolKind.GS1_128, SymbolKind.EAN_13}

    @property
    def has_elements(self) -> bool:
        """True if it carries GS1 element strings."""
        return self in {SymbolKind.GS1_128, SymbolKind.GS1_DATA_MATRIX}


@dataclass(frozen=True, slots=True)
class SymbolPart:
    """One symbol of a label."""

    kind: SymbolKind
    """Kind of symbol."""
    data: str
    """Template of the content; empty for one with elements."""
    elements: tuple[tuple[str, str], ...]
    """Application identifiers and templates of their values; empty for one without."""
    at_mm: tuple[float, float]
    """Left and top of its quiet zone."""
    x_mm: float
    """Module wished for."""
    height_mm: float
    """Height of the bars; 0 for a Data Matrix, whose content decides."""
    caption: bool
    """True if its content is printed below."""

    @property
    def templates(self) -> tuple[str, ...]:
        """Everything in it that is filled in."""
        return (self.data, *(value for _, value in self.elements))


@dataclass(frozen=True, slots=True)
class TextPart:
    """One text of a label."""

    text: str
    """Template."""
    at_mm: tuple[float, float]
    """Left and top of its first line."""
    width_mm: float
    """Room for a line."""
    letter_mm: float
    """Height of a capital."""
    lines: int
    """Most lines of the text."""
    align: str
    """Left, centre or right."""
    may_shorten: bool
    """True if a text too long may end in "..."."""


@dataclass(frozen=True, slots=True)
class LinePart:
    """One black bar of a label."""

    at_mm: tuple[float, float]
    """Left and top."""
    size_mm: tuple[float, float]
    """Width and height."""


@dataclass(frozen=True, slots=True)
class LabelLayout:
    """A label: what it needs and what is where on it."""

    name: str
    """File name without `.toml`."""
    use: str
    """What the label is for."""
    width_mm: float
    """Width of the label."""
    height_mm: float
    """Height of the label."""
    fields: Mapping[str, Field]
    """What must be given to draw it, by name."""
    symbols: tuple[SymbolPart, ...]
    """Symbols, one or more."""
    texts: tuple[TextPart, ...]
    """Texts, in the order of the file."""
    lines: tuple[LinePart, ...]
    """Lines, in the order of the file."""
    example: Mapping[str, str] = field(default_factory=dict)
    """A value for every field, of an invented plant; empty if the file has none."""


def layout_names(folder: Path | None = None) -> list[str]:
    """Return the names of the layouts in a folder; by default those that came with the program."""
    return sorted(path.stem for path in (folder or data_dir("labels")).glob("*.toml"))


def load_layout(name: str, folder: Path | None = None) -> LabelLayout:
    """Read a layout.

    Args:
        name: such as "lot-card": small letters, digits and single hyphens.
        folder: where its file is; by default the layouts that came with the program.

    Raises:
        UsageError: there is no such layout, or its file is not as this module describes.
    """
    folder = folder or data_dir("labels")
    path = folder / f"{name}.toml"
    if not _LAYOUT_NAME.fullmatch(name) or not path.is_file():
        raise UsageError(f"There is no label {name!r}; expected one of {', '.join(layout_names(folder))}.")
    try:
        content = tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise UsageError(f"{path} is not a TOML file: {error}.") from error
    return _layout(name, TomlTable(content, str(path)))


def _layout(name: str, table: TomlTable) -> LabelLayout:
    layout = LabelLayout(
        name=name,
        use=table.text("use"),
        width_mm=table.length("width"),
        height_mm=table.length("height"),
        fields=MappingProxyType(
            {key: _field(key, part) for key, part in table.named_tables("fields", "field").items()}
        ),
        symbols=tuple(_symbol(part) for part in table.tables("symbol", "symbol")),
        texts=tuple(_text(part) for part in table.tables("text", "text")),
        lines=tuple(_line(part) for part in table.tables("line", "line")),
        example=MappingProxyType(table.texts("example")),
    )
    table.close()
    if not layout.symbols:
        raise UsageError(f"{table.place}: expected at least one [[symbol]], found none.")
    _require_fields_used(layout, table.place)
    if layout.example:
        read_fields(layout.fields, layout.example, f"{name}, example")
    return layout


def _field(name: str, table: TomlTable) -> Field:
    kind = FieldKind(table.choice("type", tuple(kind.value for kind in FieldKind)))
    if not NAME.fullmatch(name):
        raise UsageError(f"{table.place}: a field is named by small letters, digits and _, found {name!r}.")
    letter = most = None
    if kind is FieldKind.PLANT_CODE and table.has("letter"):
        letter = table.choice("letter", tuple(kind.value for kind in CodeKind if kind is not CodeKind.ACT))
    if kind is FieldKind.NUMBER:
        most = table.whole("most", 1, 18)
    it = Field(name, kind, table.text("hint"), letter, most)
    table.close()
    return it


def _symbol(table: TomlTable) -> SymbolPart:
    kind = SymbolKind(table.choice("type", tuple(kind.value for kind in SymbolKind)))
    part = SymbolPart(
        kind=kind,
        data="" if kind.has_elements else table.text("data"),
        elements=table.pairs("elements") if kind.has_elements else (),
        at_mm=table.place_mm("at"),
        x_mm=table.length("x"),
        height_mm=table.length("height") if kind.is_linear else 0.0,
        caption=table.flag("caption", default=True) if kind.is_linear else False,
    )
    table.close()
    _require_templates(part.templates, table.place)
    return part


def _text(table: TomlTable) -> TextPart:
    part = TextPart(
        text=table.text("text"),
        at_mm=table.place_mm("at"),
        width_mm=table.length("width"),
        letter_mm=table.length("letter"),
        lines=table.whole("lines", 1, 20, default=1),
        align=table.choice("align", ("left", "centre", "right"), default="left"),
        may_shorten=table.flag("shorten", default=False),
    )
    table.close()
    _require_templates((part.text,), table.place)
    return part


def _line(table: TomlTable) -> LinePart:
    part = LinePart(table.place_mm("at"), (table.length("width"), table.length("height")))
    table.close()
    return part


def _require_templates(templates: tuple[str, ...], place: str) -> None:
    for template in templates:
        try:
            names_in(template)
        except InvalidFormat as error:
            raise UsageError(f"{place}: {error}.") from error


def _templates(layout: LabelLayout) -> Iterator[str]:
    for symbol in layout.symbols:
        yield from symbol.templates
    for text in layout.texts:
        yield text.text


def _require_fields_used(layout: LabelLayout, place: str) -> None:
    """Every name in a template is a field's, every field is in a template, no two fields give one name."""
    owners: dict[str, str] = {}
    for it in layout.fields.values():
        for name in it.provides:
            if name in owners:
                raise UsageError(f"{place}: fields {owners[name]!r} and {it.name!r} both fill {{{name}}}.")
            owners[name] = it.name
    used: set[str] = set()
    for template in _templates(layout):
        for name in sorted(names_in(template)):
            if name not in owners:
                raise UsageError(
                    f"{place}: {template!r} names {name!r}, expected one of {', '.join(sorted(owners))}."
                )
            used.add(owners[name])
    unused = sorted(layout.fields.keys() - used)
    if unused:
        raise UsageError(f"{place}: field {unused[0]!r} is in no symbol and no text.")
