"""The plant file: what it stands for, and a sentence for every way to get it wrong."""

import copy

import pytest
from support_each import each
from support_plant import add_kits, code, gtin, plant_data
from support_plantfile import read_plant_file

from tracelink.errors import UsageError
from tracelink.ledger.kinds.kits import KitDefined, KitSlot
from tracelink.ledger.kinds.orders import OrderLine, OrderLinesTaken, OrderTaken
from tracelink.ledger.kinds.setup import LotPlanned, PlantNamed, ProductDefined, ProductPart, Setting


def read(data, *, new=True):
    return list(read_plant_file(data, new_ledger=new))


def test_a_plant_file_is_a_list_of_acts():
    bodies = read(plant_data())
    named = bodies[0]
    assert isinstance(named, PlantNamed)
    assert named.settings[:2] == (
        Setting("rest_minutes", 0, "common practice is 24 hours for heavy discs; 0 switches the rule off"),
        Setting("run_length", 250, "matches to one sealed entry; a choice of this program"),
    )
    assert (
        ProductDefined(
            gtin(1), "EX 101", "Paper Comet Arithmetic", False, 5, (ProductPart(1, "EX-101-A", "EX-101-B"),)
        )
        in bodies
    )
    assert LotPlanned(code("L", 2), gtin(2), 1, 500) in bodies


def test_settings_override_their_defaults_and_say_where_they_come_from():
    data = plant_data()
    data["plant"]["settings"] = {"rest_minutes": 1440}
    assert read(data)[0].settings[0] == Setting("rest_minutes", 1440, "plant file")


def test_matrix_numbers_are_normalised():
    data = plant_data()
    data["product"][0]["parts"][0]["matrix_a"] = " ex\u2013101-a"
    assert read(data) == read(plant_data())


def test_a_later_file_has_no_plant_section():
    data = plant_data()
    later = {"lot": data["lot"][:1]}
    assert read(later, new=False) == [LotPlanned(code("L", 1), gtin(1), 1, 500)]
    assert read({}, new=False) == []


WRONG = [
    (("plant", "name"), None, "[plant]: name is missing: expected text"),
    (("plant", "name"), 7, "[plant]: name is 7: expected text"),
    (("plant", "colour"), "red", "[plant]: unknown colour"),
    (("plant", "company_prefix"), "95", "[plant]: company_prefix is '95': expected 4 to 12 digits"),
    (("plant", "matrix_example"), "X", "[plant]: matrix_pattern and matrix_example do not fit: matrix example 'X' does not match its own pattern '[A-Z]{2}-[0-9]{3}-[A-D]'"),
    (("plant", "settings"), {"rest_minutes": -1}, "[plant.settings]: rest_minutes is -1: expected a whole number of 0 or more"),
    (("plant", "settings"), {"rest_minutes": True}, "[plant.settings]: rest_minutes is True: expected a whole number of 0 or more"),
    (("plant", "settings"), {"speed": 1}, "[plant.settings]: unknown speed"),
    (("plant", "settings"), [1], "[plant]: settings: expected a table, found [1]"),
    (("tools",), [], "plant file: unknown tools"),
    (("lot",), {}, "plant file: lot: expected a list, found {}"),
    (("lot", 0), "x", "[[lot]] number 1: expected a table, found 'x'"),
    (("lot", 0, "code"), "L0000019", "[[lot]] number 1: code: check character of 'L0000019' is wrong: expected B, found 9"),
    (("lot", 1, "code"), code("K", 1), f"[[lot]] number 2: code is {code('K', 1)}: expected a lot card, found a spindle card"),
    (("lot", 0, "gtin"), "9520000000012", "[[lot]] number 1: gtin: invalid check digit in GTIN '9520000000012': expected 1, found 2"),
    (("lot", 0, "quantity"), 0, "[[lot]] number 1: quantity is 0: expected a whole number of 1 or more"),
    (("lot", 0, "quantity"), True, "[[lot]] number 1: quantity is True: expected a whole number of 1 or more"),
    (("lot", 0, "quantity"), 1.5, "[[lot]] number 1: quantity is 1.5: expected a whole number"),
    (("person", 0, "roles"), ["cook"], "[[person]] number 1: role 'cook': expected some of tool, press, lab, line, dock, process, assembly, quality"),
    (("station", 0, "area"), "roof", "[[station]] number 1: area is 'roof': expected one of tool, press, lab, line, dock, process, assembly"),
    (("product", 0, "parts"), [], "[[product]] number 1: 0 parts: expected 1 to 99 discs"),
    (("product", 0, "parts", 0, "matrix_a"), "EX 1", "[[product]] number 1: matrix number 'EX 1' is not of this plant's form; expected a form like 'EX-101-A'"),
    (("product", 0, "parts", 0, "side"), "A", "[[product]] number 1, part 1: unknown side"),
    (("product", 0, "numbered"), "yes", "[[product]] number 1: numbered is 'yes': expected true or false"),
    (("material", 0, "what"), "ink", "[[material]] number 1: what is 'ink': expected one of compound, label"),
    (("material", 0, "gtin"), gtin(1), "[[material]] number 1: unknown gtin"),
    (("sleeves", 2, "last_number"), None, "[[sleeves]] number 3: first_number and last_number: expected both, in order, or neither"),
    (("sleeves", 2, "first_number"), 101, "[[sleeves]] number 3: first_number and last_number: expected both, in order, or neither"),
    (("sscc", 0, "first_serial"), 1001, "[[sscc]] number 1: first_serial 1001 comes after last_serial 1000"),
    (("sscc", 0, "extension"), "10", "[[sscc]] number 1: extension is '10': expected one of 0, 1, 2, 3, 4, 5, 6, 7, 8, 9"),
    (("plant",), None, "plant file: the section [plant] is missing; a new ledger needs it"),
]  # fmt: skip


@each(("where", "value", "sentence"), WRONG, ids=range(len(WRONG)))
def test_a_wrong_field_is_named_with_its_place(where, value, sentence):
    data = copy.deepcopy(plant_data())
    *path, last = where
    table = data
    for step in path:
        table = table[step]
    if value is None:
        del table[last]
    else:
        table[last] = value
    with pytest.raises(UsageError) as caught:
        read(data)
    assert str(caught.value) == sentence


def test_plant_in_a_later_file_is_refused():
    with pytest.raises(UsageError) as caught:
        read(plant_data(), new=False)
    assert (
        str(caught.value) == "plant file: [plant] is set when a ledger is made; leave it out of later files"
    )


def kit_of(*rows):
    data = plant_data()
    add_kits(data)
    data["product"][4]["kit"] = list(rows)
    return next(body for body in read(data) if isinstance(body, KitDefined))


def test_a_kit_comes_after_its_product_and_its_items():
    data = plant_data()
    add_kits(data)
    kinds = [body.kind for body in read(data)]
    assert kinds.index("product-defined") < kinds.index("item-made") < kinds.index("kit-defined")


def test_discs_that_a_kit_does_not_list_come_first():
    insert, sticker = {"item": code("I", 1), "name": "insert"}, {"prompt": "sticker"}
    assert kit_of(insert, sticker).pieces == (
        KitSlot(1, None, ""),
        KitSlot(2, None, ""),
        KitSlot(None, code("I", 1), "insert"),
        KitSlot(None, None, "sticker"),
    )


@pytest.mark.parametrize(
    ("rows", "sentence"),
    [
        (
            [{"disc": 2}, {"disc": 1}],
            "[[product]] number 5: the kit lists discs [2, 1]: expected [1, 2], or none of them",
        ),
        ([{"disc": 1}], "[[product]] number 5: the kit lists discs [1]: expected [1, 2], or none of them"),
        (
            [{"item": code("I", 1), "name": "insert"}, {"disc": 1}, {"disc": 2}],
            "[[product]] number 5: the kit begins with insert: expected disc 1 first",
        ),
        (
            [{"item": code("I", 1), "name": "a"}, {"item": code("I", 1), "name": "b"}],
            "[[product]] number 5: the kit names an item twice: expected each item once",
        ),
        (
            [{"item": code("I", 1)}],
            f"[[product]] number 5, kit piece 1 is {{'item': '{code('I', 1)}'}}: expected disc, or item and name, or prompt",
        ),
        ([{"disc": True}], "[[product]] number 5, kit piece 1: disc is True: expected a whole number"),
        ([{"prompt": ""}], "[[product]] number 5, kit piece 1: the name is '': expected a text"),
        (
            [{"item": code("L", 1), "name": "insert"}],
            f"[[product]] number 5, kit piece 1: item is {code('L', 1)}: expected a kit item, found a lot card",
        ),
        (
            [{"item": "x", "name": "insert"}],
            (
                "[[product]] number 5, kit piece 1: item: 'x' is not a plant code: expected a capital letter, 6 to 9 digits "
                "and a check character"
            ),
        ),
    ],
)
def test_a_wrong_kit_is_refused_by_name(rows, sentence):
    with pytest.raises(UsageError) as caught:
        kit_of(*rows)
    assert str(caught.value) == sentence


@pytest.mark.parametrize("areas", [[], [""], "floor", [1]])
def test_where_to_look_is_a_list_of_texts(areas):
    data = plant_data()
    data["plant"]["clearance_areas"] = areas
    with pytest.raises(UsageError) as caught:
        read(data)
    assert str(caught.value) == f"[plant]: clearance_areas is {areas!r}: expected a list of texts"


def test_an_order_names_one_product_or_several_lines():
    data = plant_data()
    lines = [{"gtin": gtin(1), "quantity": 5}, {"gtin": gtin(2), "quantity": 7}]
    data["order"] = [
        {"code": code("O", 1), "consignee": "Shop", "country": "DE", "gtin": gtin(1), "quantity": 5},
        {"code": code("O", 2), "consignee": "Shop", "country": "DE", "lines": lines},
        {"code": code("O", 3), "consignee": "Shop", "country": "DE", "lines": lines[:1]},
    ]
    assert [body for body in read(data) if body.kind.startswith("order-")] == [
        OrderTaken(code("O", 1), "Shop", "DE", gtin(1), 5),
        OrderLinesTaken(code("O", 2), "Shop", "DE", (OrderLine(gtin(1), 5), OrderLine(gtin(2), 7))),
        # One line is the short form, which every program reads.
        OrderTaken(code("O", 3), "Shop", "DE", gtin(1), 5),
    ]


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        (
            {"lines": [{"gtin": gtin(1)}]},
            "[[order]] number 1, line 1: quantity is missing: expected a whole number",
        ),
        (
            {"lines": [{"gtin": gtin(1), "quantity": 1}] * 2},
            "[[order]] number 1: a product stands in two lines: expected each product once",
        ),
        (
            {"lines": [{"gtin": gtin(1), "quantity": 1}], "gtin": gtin(1)},
            "[[order]] number 1: unknown gtin",
        ),
        (
            {},
            (
                "[[order]] number 1: gtin is missing: expected text\n"
                "[[order]] number 1: quantity is missing: expected a whole number"
            ),
        ),
    ],
)
def test_a_wrong_order_is_refused_by_name(fields, sentence):
    data = plant_data()
    data["order"] = [{"code": code("O", 1), "consignee": "Shop", "country": "DE", **fields}]
    with pytest.raises(UsageError) as caught:
        read(data)
    assert str(caught.value) == sentence
