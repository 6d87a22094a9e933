"""Layout files: what is read, and that everything else is refused by name."""

import pytest
from support_each import each
from support_printing import CARTON, DATA, GTIN, code

from tracelink.datadir import data_dir
from tracelink.errors import UsageError
from tracelink.identity.plantcode import CodeKind
from tracelink.printing.fields import Field, FieldKind, fill, names_in, read_fields
from tracelink.printing.layout import (
    LabelLayout,
    LinePart,
    SymbolKind,
    SymbolPart,
    TextPart,
    layout_names,
    load_layout,
)

GOOD = """
use = "names a spindle"
width = 100
height = 50.5

[fields.code]
type = "plant-code"
letter = "K"
hint = "code of the spindle"

[[symbol]]
type = "code-128"
data = "{code}"
at = [4, 0]
x = 0.33
height = 12
caption = false

[[text]]
text = "Spindle {code}"
at = [4, 30]
width = 60
letter = 4

[[line]]
at = [4, 28.5]
width = 92
height = 0.5
"""


def load(folder, content):
    (folder / "card.toml").write_text(content, encoding="utf-8")
    return load_layout("card", folder)


def refusal(folder, content):
    with pytest.raises(UsageError) as caught:
        load(folder, content)
    return str(caught.value).replace(str(folder / "card.toml"), "FILE")


def test_a_layout_is_what_its_file_says(tmp_path):
    assert load(tmp_path, GOOD) == LabelLayout(
        name="card",
        use="names a spindle",
        width_mm=100.0,
        height_mm=50.5,
        fields={"code": Field("code", FieldKind.PLANT_CODE, "code of the spindle", letter="K")},
        symbols=(SymbolPart(SymbolKind.CODE_128, "{code}", (), (4.0, 0.0), 0.33, 12.0, caption=False),),
        texts=(TextPart("Spindle {code}", (4.0, 30.0), 60.0, 4.0, 1, "left", may_shorten=False),),
        lines=(LinePart((4.0, 28.5), (92.0, 0.5)),),
    )


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        (
            "width = 100\n",
            "",
            "FILE: key 'width' is missing; expected a length in mm, above 0 and at most 1000.",
        ),
        (
            "width = 100\n",
            'width = "100"\n',
            "FILE: key 'width' must be a length in mm, above 0 and at most 1000, found '100'.",
        ),
        (
            "width = 100\n",
            "width = true\n",
            "FILE: key 'width' must be a length in mm, above 0 and at most 1000, found True.",
        ),
        (
            "width = 100\n",
            "width = nan\n",
            "FILE: key 'width' must be a length in mm, above 0 and at most 1000, found nan.",
        ),
        (
            "width = 100\n",
            "width = 0\n",
            "FILE: key 'width' must be a length in mm, above 0 and at most 1000, found 0.",
        ),
        (
            "width = 100\n",
            "width = 100\nwidht = 3\n",
            "FILE: key 'widht' is not known; expected only example, fields, height, line, symbol, text, use, width.",
        ),
        (
            'use = "names a spindle"',
            'use = " "',
            "FILE: key 'use' must be a text that is not empty, found ' '.",
        ),
        ("[fields.code]", "[field.code]", "FILE: key 'fields' is missing; expected tables [fields.NAME]."),
        (
            "[fields.code]",
            "[fields.Code]",
            "FILE, field 'Code': a field is named by small letters, digits and _, found 'Code'.",
        ),
        (
            'type = "plant-code"',
            'type = "code"',
            "FILE, field 'code': key 'type' must be one of plant-code, act, gtin, sscc, number, text, found 'code'.",
        ),
        (
            'letter = "K"',
            'letter = "A"',
            "FILE, field 'code': key 'letter' must be one of T, L, K, S, B, P, C, E, W, H, O, D, Y, I, Q, R, X, V, G, M, F, J, N, U, found 'A'.",
        ),
        (
            'letter = "K"',
            "most = 3",
            "FILE, field 'code': key 'most' is not known; expected only hint, type.",
        ),
        ('hint = "code of the spindle"', "", "FILE, field 'code': key 'hint' is missing; expected a text."),
        (
            'type = "code-128"',
            'type = "code128"',
            "FILE, symbol 1: key 'type' must be one of code-128, gs1-128, ean-13, data-matrix, gs1-data-matrix, found 'code128'.",
        ),
        (
            'type = "code-128"',
            'type = "data-matrix"',
            "FILE, symbol 1: key 'caption' is not known; expected only at, data, type, x.",
        ),
        (
            'type = "code-128"',
            'type = "gs1-128"',
            'FILE, symbol 1: key \'elements\' is missing; expected a list of pairs of texts such as [["01", "{gtin:14}"]].',
        ),
        (
            "at = [4, 0]",
            "at = [4]",
            "FILE, symbol 1: key 'at' must be a place [left, top] in mm, neither below 0, found [4].",
        ),
        (
            "at = [4, 0]",
            "at = [4, -1]",
            "FILE, symbol 1: key 'at' must be a place [left, top] in mm, neither below 0, found [4, -1].",
        ),
        ("caption = false", "caption = 0", "FILE, symbol 1: key 'caption' must be true or false, found 0."),
        (
            "[[symbol]]",
            "[symbol]",
            "FILE: key 'symbol' must be a list of tables [[symbol]], found {'type': 'code-128', 'data': '{code}', 'at': [4, 0], 'x': 0.33, 'height': 12, 'caption': False}.",
        ),
        (
            "letter = 4",
            "letter = 4\nlines = 1.5",
            "FILE, text 1: key 'lines' must be a whole number from 1 to 20, found 1.5.",
        ),
        (
            "letter = 4",
            'letter = 4\nalign = "center"',
            "FILE, text 1: key 'align' must be one of left, centre, right, found 'center'.",
        ),
        (
            "letter = 4",
            "letter = 4\nbold = true",
            "FILE, text 1: key 'bold' is not known; expected only align, at, letter, lines, shorten, text, width.",
        ),
        (
            'text = "Spindle {code}"',
            'text = "Spindle {cod}"',
            "FILE: 'Spindle {cod}' names 'cod', expected one of code, code_noun.",
        ),
        (
            'text = "Spindle {code}"',
            'text = "Spindle {code"',
            "FILE, text 1: braces must hold a field, as in {code} or {gtin:14}; found 'Spindle {code'.",
        ),
        (
            'data = "{code}"',
            'data = "{code!r}"',
            "FILE, symbol 1: braces must hold a field, as in {code} or {gtin:14}; found '{code!r}'.",
        ),
        (
            "[[line]]",
            '[fields.kind]\ntype = "text"\nhint = "kind"\n[[line]]',
            "FILE: field 'kind' is in no symbol and no text.",
        ),
        (
            "[[line]]",
            '[fields.code_noun]\ntype = "text"\nhint = "kind"\n[[line]]',
            "FILE: fields 'code' and 'code_noun' both fill {code_noun}.",
        ),
    ],
)
def test_a_mistake_is_refused_by_name(old, new, sentence, tmp_path):
    assert GOOD.count(old) == 1
    assert refusal(tmp_path, GOOD.replace(old, new)) == sentence


def test_a_label_without_symbol_is_refused(tmp_path):
    start, end = GOOD.index("[[symbol]]"), GOOD.index("[[text]]")
    assert (
        refusal(tmp_path, GOOD[:start] + GOOD[end:]) == "FILE: expected at least one [[symbol]], found none."
    )


@pytest.mark.parametrize("elements", ["[]", '[["00"]]', '[["00", 1]]', '[["00", ""]]', '"00"'])
def test_elements_are_pairs_of_texts(elements, tmp_path):
    content = GOOD.replace('"code-128"', '"gs1-128"').replace('data = "{code}"', f"elements = {elements}")
    assert refusal(tmp_path, content).startswith(
        "FILE, symbol 1: key 'elements' must be a list of pairs of texts"
    )


@pytest.mark.parametrize("content", [b"use = ", b'use = "\xff"', b"use = 1\nuse = 2\n"])
def test_a_file_that_is_no_toml_is_refused(content, tmp_path):
    (tmp_path / "card.toml").write_bytes(content)
    with pytest.raises(UsageError) as caught:
        load_layout("card", tmp_path)
    assert str(caught.value).startswith(f"{tmp_path / 'card.toml'} is not a TOML file: ")


@pytest.mark.parametrize("name", ["none", "../labels/lot-card", "Lot-Card", "lot card", "", "lot-card.toml"])
def test_an_unknown_label_is_refused_with_the_known_ones(name):
    with pytest.raises(UsageError) as caught:
        load_layout(name)
    assert str(caught.value) == f"There is no label {name!r}; expected one of {', '.join(sorted(DATA))}."


def test_every_label_that_comes_with_the_program_can_be_loaded():
    assert layout_names() == sorted(DATA)
    for name in layout_names():
        assert load_layout(name).fields.keys() == DATA[name].keys()


@each("name", sorted(DATA))
def test_every_layout_file_explains_its_format(name):
    head = (data_dir("labels") / f"{name}.toml").read_text(encoding="utf-8").split("\nuse = ")[0]
    assert all(line.startswith("#") for line in head.strip().splitlines())
    for key in ("[fields.NAME]", "[[symbol]]", "[[text]]", "[[line]]", "elements", "shorten", "letter"):
        assert key in head


def field(kind, **more):
    return Field("it", kind, "something", **more)


@pytest.mark.parametrize(
    ("kind", "given", "expected"),
    [
        (FieldKind.PLANT_CODE, code("K", 1427), {"it": code("K", 1427), "it_noun": "spindle card"}),
        (FieldKind.ACT, "STOP", {"it": "ASTOP1", "it_word": "STOP"}),
        (FieldKind.GTIN, GTIN, {"it": GTIN}),
        (FieldKind.GTIN, "0" + GTIN, {"it": GTIN}),
        (FieldKind.SSCC, CARTON, {"it": CARTON}),
        (FieldKind.NUMBER, "007", {"it": "007"}),
        (FieldKind.TEXT, "Grüße ", {"it": "Grüße "}),
    ],
)
def test_a_field_gives_what_is_printed(kind, given, expected):
    found = field(kind).read(given)
    if kind is FieldKind.ACT:
        expected["it"] = found["it"]
        assert found["it"][:-1] == "ASTOP"
    assert found == expected


@each(
    ("it", "given", "why"),
    [
        (
            field(FieldKind.PLANT_CODE),
            "K000142",
            "'K000142' is not a plant code: expected a capital letter, 6 to 9 digits and a check character",
        ),
        (
            field(FieldKind.PLANT_CODE, letter="L"),
            code("K", 1427),
            f"'{code('K', 1427)}' is the code of a spindle card: expected the letter L",
        ),
        (field(FieldKind.ACT), "stop", "act word must be 2 to 14 letters A-Z, found 'stop'"),
        (
            field(FieldKind.GTIN),
            GTIN[:-1] + "0",
            f"invalid check digit in GTIN '{GTIN[:-1]}0': expected {GTIN[-1]}, found 0",
        ),
        (field(FieldKind.SSCC), "1", "SSCC '1' must have 18 digits, found 1"),
        (field(FieldKind.NUMBER, most=3), "1234", "expected at most 3 digits, found '1234'"),
        (field(FieldKind.NUMBER, most=3), "١٢", "expected digits 0-9, found '١٢'"),
        (field(FieldKind.TEXT), " ", "expected a text of printable characters, found ' '"),
        (field(FieldKind.TEXT), "a\nb", "expected a text of printable characters, found 'a\\nb'"),
        (field(FieldKind.TEXT), "a" * 201, "expected at most 200 characters, found 201"),
    ],
)
def test_a_value_that_its_field_cannot_be_is_refused(it, given, why):
    with pytest.raises(UsageError) as caught:
        read_fields({"it": it}, {"it": given}, "card")
    assert str(caught.value) == f"Label card, it (something): {why}."


def test_every_plant_code_letter_can_be_asked_for():
    for kind in CodeKind:
        if kind is not CodeKind.ACT:
            assert (
                field(FieldKind.PLANT_CODE, letter=kind.value).read(code(kind.value, 1))["it_noun"]
                == kind.noun
            )


def test_missing_and_foreign_values_are_named():
    fields = {"it": field(FieldKind.TEXT)}
    with pytest.raises(UsageError) as caught:
        read_fields(fields, {}, "card")
    assert str(caught.value) == "Label card needs it: something."
    with pytest.raises(UsageError) as caught:
        read_fields(fields, {"it": "a", "that": "b"}, "card")
    assert str(caught.value) == "Label card has no field 'that'; expected it."


def test_templates_are_filled():
    values = {"gtin": GTIN, "piece": "1", "title": "{piece}"}
    assert fill("0{gtin}", values) == "0" + GTIN
    assert fill("{gtin:14}{piece:2}", values) == f"0{GTIN}01"
    assert fill("{title}", values) == "{piece}", "a value is not a template"
    assert names_in("{gtin:14} of {title}") == {"gtin", "title"}


@pytest.mark.parametrize("value", ["123", "1a"])
def test_a_value_that_cannot_be_filled_with_zeros_is_refused(value):
    with pytest.raises(UsageError) as caught:
        fill("{piece:2}", {"piece": value})
    assert str(caught.value) == f"{{piece:2}} takes at most 2 digits, found {value!r}."
