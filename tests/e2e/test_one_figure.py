"""Every figure about one consignee of a case, from everything that tells of it: one value for each meaning."""

import json

import pytest
from support_cases import ADA, CAUSE, shipped, shipped_file
from support_cli import run
from support_figures import Figure, by_meaning, collect, disagreements


@pytest.fixture(scope="module")
def figures(tmp_path_factory):
    folder = tmp_path_factory.mktemp("figures")
    place = shipped_file(folder)
    opened = run(
        "case", "open", CAUSE, "--shape", "from-onset", "--by", ADA, "--reason", "scratch", ledger=place
    )
    case = opened.out.split()[1]
    told = run("case", "notice", case, "--all", "--by", ADA, "--out", folder, ledger=place)
    assert told.code in {0, 1}, told.err
    said = ("--consignee", "Shop 1", "--quantity-on-hand", 5, "--returned", 2, "--by", ADA)
    assert run("case", "reply", case, *said, ledger=place).code == 0
    return collect(place, case, "Shop 1", folder)


def test_one_meaning_has_one_value_everywhere(figures):
    assert disagreements(figures) == {}
    found = {meaning: next(iter(values)) for meaning, values in by_meaning(figures).items()}
    assert found == {
        "discs sent": 9,
        "discs sent or to be sent": 9,
        "discs in cartons that may hold one": 9,
        "cartons that may hold one": 2,
        "affected at least": 0,
        "affected at most": 7,
        "on hand when told": 5,
        "returned, they say": 2,
        "returned, booked here": 0,
        "accounted for": 5,
        "not accounted for": 4,
    }


def test_every_command_page_sheet_workbook_notice_and_bundle_is_among_them(figures):
    said = {one.source for one in figures}
    for begin in (
        "contain", "contain, first screen", "contain --format json", "contain --together", "contain --consignees",
        "contain --format csv", "contain --html", "contain --pdf", "contain --xlsx", "case status", "case status --html", "case status --pdf",
        "case status json", "case status csv", "case status, open points", "case show json", "notice", "bundle of the case", "bundle of the case --html",
        "bundle of the case --pdf", "bundle of the case, workbook", "bundle of the case, answer.json", "bundle of the case, cartons", "bundles of the lots",
    ):  # fmt: skip
        assert any(source == begin or source.startswith((f"{begin}/", f"{begin},")) for source in said), begin
    assert not [source for source in said if source.endswith("another row")]


def test_a_second_value_is_found_and_named_with_its_place(figures):
    other = Figure("discs sent", 8, "a page")
    assert disagreements([*figures, other])["discs sent"][8] == ["a page"]


def test_goods_partly_on_their_way_have_the_same_limits_in_the_case_as_in_the_scope(tmp_path):
    """Shop 1 has cartons 1 and 2; carton 3 is being loaded for it."""
    floor = shipped(second="Shop 1", loading=True)
    place = floor.saved(tmp_path / "plant.db")
    floor.ledger.close()
    asked = (CAUSE, "--shape", "from-onset")
    opened = run("case", "open", *asked, "--by", ADA, "--reason", "scratch", ledger=place)
    scope = json.loads(run("contain", *asked, "--format", "json", ledger=place).out)
    status = json.loads(run("case", "status", opened.out.split()[1], "--format", "json", ledger=place).out)
    [sent] = scope["document"]["answer"]["shipped"]["consignees"]
    [loading] = scope["document"]["answer"]["loading"]["consignees"]
    [line] = status["consignees"]
    assert sent["consignee"] == loading["consignee"] == line["consignee"] == "Shop 1"
    assert (line["least"], line["most"]) == (sent["least"], sent["most"])
    # Loose limits would have let what is being loaded take all of it, and none of it.
    assert loading["most"] > 0
    assert (
        "apart from what is on its way" not in run("case", "status", opened.out.split()[1], ledger=place).out
    )
