"""The family tree as a picture: whole, escaped, readable for a lot of real size."""

from xml.etree import ElementTree as ET

import pytest
from support_genealogy_plant import C1, P1, move, small_plant
from support_report import BAD_STAMPER, HEAD, LOT, NOW, OTHER, carton, real_lot

from tracelink.genealogy.model.facts import JudgementFact, NestFact
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.genealogy.model.tree import Edge, Node, Tree
from tracelink.genealogy.walk.walk import trace_back, trace_forward
from tracelink.report.format.svg import text_width
from tracelink.report.pictures.boxes import Frame, drawn
from tracelink.report.pictures.family import Box, family_of
from tracelink.report.pictures.genealogy_svg import genealogy_svg

SVG = "{http://www.w3.org/2000/svg}"


def draw(tree, judgements=()):
    return genealogy_svg(tree, title="Where it went", head=HEAD, at=NOW, judgements=judgements)


def texts(svg):
    return [element.text or "" for element in ET.fromstring(svg).iter(f"{SVG}text")]


def judgements(records):
    return [*records.judgements_of(LOT), *records.judgements_of(OTHER)]


@pytest.mark.parametrize(
    ("walk", "code"),
    [(trace_forward, LOT), (trace_back, LOT), (trace_forward, "T0000001"), (trace_back, "D0000003")],
)
def test_a_real_lot_is_one_well_formed_picture_that_needs_nothing_else(walk, code):
    svg = draw(walk(real_lot(), code), judgements(real_lot()))
    root = ET.fromstring(svg)
    assert float(root.get("height")) <= 1200
    assert all("href" not in name for element in root.iter() for name in element.attrib)
    assert "url(" not in svg
    assert not any("id" in element.attrib for element in root.iter())


def test_many_cartons_become_boxes_with_count_discs_and_ends():
    records = real_lot()
    boxes = family_of(trace_forward(records, LOT)).boxes
    cartons = [box for box in boxes.values() if box.kind == "carton"]
    assert len(cartons) <= 12
    assert sorted(code for box in cartons for code in box.codes) == [carton(n) for n in range(1, 41)]
    first = next(box for box in cartons if carton(1) in box.codes)
    assert (first.heading, first.names) == ("4 cartons, 100 discs", (carton(1), f"to {carton(4)}"))
    said = sum(int(box.heading.split(", ")[1].split()[0]) for box in cartons)
    assert said == sum(move.quantity for move in records.movements if move.target.startswith("0952"))
    assert len([box for box in boxes.values() if box.kind == "spindle"]) == 10


def test_few_things_are_all_shown():
    family = family_of(trace_forward(small_plant(), "T3"))
    assert not family.collapsed
    assert all(len(box.codes) == 1 for box in family.boxes.values())


def test_hundreds_of_anything_still_fit():
    nodes = [Node("lot", "L1", ())]
    edges = []
    for number in range(300):
        nodes.append(Node("spindle", f"K{number}", ()))
        edges.append(Edge("L1", f"K{number}", "stacked on", "L1", None, 10))
        nodes.append(Node("carton", f"C{number}", ()))
        edges.append(Edge(f"K{number}", f"C{number}", "packed in", "L1", None, 10))
    family = family_of(Tree("L1", tuple(nodes), tuple(edges), ()))
    assert [box.heading for box in family.boxes.values()] == [
        "lot",
        "300 spindles, 3\u202f000 discs",
        "300 cartons, 3\u202f000 discs",
    ]


def test_a_stamper_with_a_bad_sample_never_shares_a_box_with_good_ones():
    nodes = [Node("mother", "T0", ())]
    edges, facts = [], []
    for number in range(1, 31):
        lot, stamper = f"L{number}", f"T{number}"
        nodes += [Node("stamper", stamper, ()), Node("lot", lot, ())]
        edges.append(Edge("T0", stamper, "grew", None, None, None))
        edges.append(Edge(stamper, lot, "pressed", lot, StrokeSet.between(1, 100), None))
        facts.append(JudgementFact(f"S{number}", lot, 50, number != 7, None, number))
    boxes = family_of(Tree("T0", tuple(nodes), tuple(edges), ()), facts).boxes.values()
    stampers = {box.heading: box for box in boxes if box.kind == "stamper"}
    assert set(stampers) == {"29 stampers", "stamper"}
    assert (stampers["stamper"].codes, stampers["stamper"].notes) == (("T7",), ("samples: 1 BAD",))
    assert stampers["29 stampers"].notes == ("samples: 29 good",)


def test_good_and_bad_samples_are_marked_by_word_and_shape():
    records = real_lot()
    tree = trace_forward(records, BAD_STAMPER)
    svg = draw(tree, judgements(records))
    shown = texts(svg)
    assert "sample: BAD" in shown
    assert "6 samples: good" in shown
    # Of the lot only the strokes of this stamper count.
    assert shown.count("samples: 6 good") == 1
    assert "samples: 6 good, 1 BAD" in shown
    assert len(list(ET.fromstring(svg).iter(f"{SVG}circle"))) == 1
    assert "7 samples: not judged" in texts(draw(tree))


def test_a_disc_judged_both_ways_counts_as_bad():
    records = small_plant()
    fact = real_lot().judgements[0]
    both = [type(fact)("S1", "L1", 200, good, None, 1 + seq) for seq, good in enumerate((True, False, True))]
    shown = texts(draw(trace_forward(records, "L1"), both))
    assert "sample: BAD" in shown
    assert "samples: 1 BAD" in shown


def test_kinds_differ_by_shape_and_not_only_by_word():
    kinds = ("stamper", "compound", "lot", "spindle", "sample", "carton", "pallet", "shipment", "press")
    frame = Frame(100, 40, "", (), ())
    shapes = {drawn(Box(kind, ("X",), "", (), (), ""), frame, 0, 0, is_root=False) for kind in kinds}
    assert len(shapes) == len(kinds)


def test_scanned_text_is_escaped_and_controls_are_shown():
    hostile = '<script>alert("&")</script>\x1b[2J\x00\ud800'
    records = small_plant()
    records.tools[3] = type(records.tools[3])("T4", "stamper", "T3", hostile, "A", "mounted")
    svg = genealogy_svg(trace_back(records, "T4"), title=hostile, head=(1, "<b>"), at="<i>")
    svg.encode()
    root = ET.fromstring(svg)
    assert {element.tag for element in root.iter()} <= {
        SVG + name for name in ("svg", "title", "rect", "text", "path", "circle", "line")
    }
    assert '<script>alert("&")</script>\\x1b[2J\\x00\\ud800' in " ".join(texts(svg))
    assert "<b>" in " ".join(texts(svg))


def test_ended_nestings_circles_and_conflicts_are_told():
    records = small_plant()
    assert "Broken line: was there and was taken out again." in texts(draw(trace_back(records, "D1")))
    records.nests.append(NestFact("D1", P1, 60, None))
    assert any("leads back to itself" in text for text in texts(draw(trace_forward(records, C1))))
    records.movements.append(move(70, "L1", 900, "K1", "K9"))
    assert any(
        "1 recorded movement cannot be true" in text for text in texts(draw(trace_forward(records, "K1")))
    )


def test_a_thing_alone_says_that_no_link_was_found():
    shown = texts(draw(trace_forward(small_plant(), "S1")))
    assert "No link found in the records." in shown


def test_head_and_time_are_on_the_picture():
    last = " ".join(texts(draw(trace_back(small_plant(), "T4")))[-2:])
    assert "Records up to entry 12345, journal head 3f9a17c2…." in last
    assert "Printed 2031-03-14 16:05 +01:00" in last


def test_the_same_records_give_the_same_bytes():
    assert draw(trace_forward(real_lot(), LOT)) == draw(trace_forward(real_lot(), LOT))


def test_no_text_leaves_its_box():
    records = real_lot()
    records.lots[0] = type(records.lots[0])(
        LOT, "9520000012342", 1, "A Very Long Title " * 6, "W0000031", 1000, "pressed"
    )
    root = ET.fromstring(draw(trace_back(records, "D0000003")))
    width = float(root.get("width"))
    for element in root.iter(f"{SVG}text"):
        size = float(element.get("font-size"))
        mono = "Mono" in element.get("font-family", "")
        assert float(element.get("x")) + text_width(element.text, size, mono=mono) <= width
