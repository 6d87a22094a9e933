"""What a camera sees: one thing is taken, several codes are never acted on by themselves, a badge in a picture never."""

import pytest
from support_judged import judged
from support_pins import PINS, rebuilds, with_pins
from support_plant import DOCK, LAB, LINE, PRESS, Floor, carton_sscc, gtin, n, raw

from tracelink.identity.rawlines import is_picture, raw_picture, read_picture
from tracelink.ledger.packs import unpack_scans
from tracelink.station.acts_of_areas import AREAS
from tracelink.station.camera import TAKEN
from tracelink.store.journal import journal

STRANGER = "]Q1https://example.com/offer"
"""A code of somebody else, as it stands on a parcel or a poster."""


@pytest.fixture
def floor():
    made = Floor.copy()
    made.press(1)
    made.scan(LAB, "P1")
    return made


@pytest.fixture
def packing(floor):
    floor.open_line(1, [11], 1)
    return floor


class TestOneThing:
    def test_each_piece_in_a_picture_of_its_own_is_packed(self, packing):
        packing.play(
            LINE,
            """
            shows disc 1.1 -> NEXT
            shows sleeve 1 -> MATCH [1 of 5 in carton]
            """,
        )

    def test_a_picture_without_any_strangeness_is_judged_as_its_code_is(self, packing):
        packing.play(
            LINE,
            """
            shows disc 2.1 -> STOP wrong-title
            shows STOP     -> DONE
            """,
        )

    def test_bars_that_no_reader_read_are_told_with_whatever_follows(self, packing):
        packing.play(
            LINE,
            """
            shows disc 1.1 + bars -> NEXT; "Paper Comet Arithmetic". Now its sleeve. In the picture a.png, bars in 1 place could not be read.
            shows sleeve 2 + bars + bars -> STOP wrong-title
            STOP | shows disc 1.1 | shows sleeve 1 + bars -> MATCH [1 of 5 in carton]
            """,
        )
        assert packing.verdicts[-4].sentence.endswith(
            " In the picture a.png, bars in 2 places could not be read."
        )
        assert "could not be read" not in packing.verdicts[-2].sentence
        rebuilds(packing)
        assert judged(packing).unforced is None

    def test_a_stranger_beside_what_is_asked_for_is_passed_over(self, packing):
        packing.play(
            LINE,
            f"""
            shows {STRANGER} + disc 1.1 -> NEXT
            shows sleeve 1 + {STRANGER} + T4 -> MATCH
            """,
        )

    def test_what_an_act_asks_for_is_taken_beside_what_the_station_never_takes(self, floor):
        floor.play(PRESS, "P1 | COUNT -> NEXT")
        floor.play(PRESS, f"shows L1 + sleeve 1 + {STRANGER} -> NEXT")
        floor.play(PRESS, "#0 -> DONE")

    def test_the_act_that_waits_keeps_the_code_and_not_the_picture(self, floor):
        """Its slots are judged again with every scan."""
        floor.play(LAB, 'shows HOLD | shows L1 | "doubtful -> DONE')
        assert floor.read("hold_item", "subject") == [(n("L1"),)]

    def test_both_symbols_of_a_carton_label_are_one_thing(self, packing):
        packing.match(1, 5)
        packing.scan(LINE, "CLOSE")
        packing.play(DOCK, "P1 | PALLET | pallet 1 -> DONE")
        content = f"]C1020{gtin(1)}375"
        packing.play(
            DOCK,
            f"""
            shows carton 1 + {content} -> DONE; Carton {n("carton 1")} is on pallet {n("pallet 1")}.
            """,
        )

    def test_two_symbols_that_contradict_each_other_are_two_things(self, packing):
        packing.play(
            LINE,
            f"""
            CLOSE -> DONE
            shows ]C100{carton_sscc(2)}375 + ]C1376 -> STOP several-codes
            """,
        )


class TestSeveralCodes:
    @pytest.mark.parametrize(
        "others",
        [
            "sleeve 1",
            "P2",
            "R1",
            "STOP",
            "disc 2.1",
            "carton 2",
            # A spindle card with a wrong check letter: it may be one of ours, and damaged.
            "]C0K000011Z",
        ],
    )
    def test_two_codes_that_a_line_takes_stop_it_and_change_nothing(self, packing, others):
        packing.play(LINE, f"shows disc 1.1 + {others} -> STOP several-codes")
        packing.play(
            LINE,
            """
            disc 1.1 | sleeve 1 -> MATCH [1 of 5 in carton]
            """,
        )

    def test_the_person_is_told_what_was_read_and_it_is_kept(self, packing):
        packing.play(
            LINE,
            f"""
            shows disc 1.1 + P2 -> STOP several-codes; The picture a.png shows 2 codes: a disc of {gtin(1)}, badge {n("P2")}. Nothing was booked. Show one code.
            """,
        )
        found = f"a disc of {gtin(1)}, badge {n('P2')}"
        assert packing.read("finding", "finding", "subject", "expected", "found") == [
            ("several-codes", "a.png", "one code", found)
        ]
        with packing.ledger.reading() as conn:
            packs = [unpack_scans(row.pack) for row in journal.rows(conn) if row.pack]
        assert raw("shows disc 1.1 + P2") in [scan.raw for pack in packs for scan in pack]

    def test_nothing_is_chosen_where_nothing_is_asked_for(self, floor):
        floor.play(DOCK, f"P1 -> DONE\nshows L1 + {STRANGER} -> STOP several-codes")

    def test_strangers_alone_are_several_codes_too(self, packing):
        packing.play(
            LINE,
            f'shows {STRANGER} + T4 -> STOP several-codes; The picture a.png shows 2 codes: "{STRANGER}", ...',
        )

    def test_the_lab_takes_everything(self, floor):
        floor.play(LAB, "HOLD -> NEXT\nshows L1 + T4 -> STOP several-codes")

    def test_the_same_code_twice_is_one(self, packing):
        packing.play(LINE, "shows disc 1.1 + disc 1.1 -> NEXT")


class TestBadges:
    def test_a_picture_signs_nobody_on(self):
        floor = Floor.copy()
        floor.play(
            DOCK,
            f"""
            shows P1 -> STOP badge-in-picture; Badge {n("P1")} is in the picture a.png: a picture signs nobody on. Scan the badge with a reader.
            shows P1 + T1 -> STOP several-codes
            COUNT -> STOP nobody-signed-on
            """,
        )

    def test_a_picture_confirms_nothing(self, floor):
        floor.play(LINE, "P1 | CLEAR -> NEXT\nshows P2 -> STOP badge-in-picture\nP2 -> DONE")
        floor.play(
            LAB,
            """
            HOLD | L1 | "doubtful -> DONE
            LIFT | L1 | "listened -> NEXT
            shows P2 -> STOP badge-in-picture
            shows P2 + L1 -> STOP several-codes
            P2 -> DONE
            """,
        )

    def test_a_picture_is_no_pin(self):
        """Nor is it kept secret as one."""
        floor = with_pins(Floor.copy())
        floor.play(
            LAB,
            f"""
            P1 -> NEXT
            shows L1 -> STOP pin-awaited; A picture was taken. Key # and the PIN of Ada, or scan CANCEL.
            picture b.png: it shows nothing. -> STOP pin-awaited
            #{PINS[1]} -> DONE
            """,
        )


def test_every_area_has_its_kinds():
    assert {*TAKEN} == {*AREAS}


def test_a_day_of_pictures_is_judged_again_and_rebuilt(packing):
    packing.play(
        LINE,
        f"""
        shows disc 1.1 + {STRANGER} -> NEXT
        shows disc 1.1 + sleeve 1   -> STOP several-codes
        shows sleeve 1 -> MATCH
        shows P2       -> STOP badge-in-picture
        CLOSE -> DONE
        """,
    )
    rebuilds(packing)
    assert judged(packing).unforced is None


class TestLines:
    def test_a_picture_comes_back_as_it_was_written(self):
        line = raw_picture('a "b": c.png', ["]C0X", "]C1\x1d"])
        picture = read_picture(line)
        assert (picture.name, picture.lines) == ('a "b": c.png', ("]C0X", "]C1\x1d"))
        assert line.isprintable()
        assert is_picture(line)

    @pytest.mark.parametrize(
        "line",
        ["pictured", "pictured x", "pictured []", 'pictured ["a"]', "pictured [1,2]", "pictured {}", "]C0K"],
    )
    def test_what_is_no_picture_is_none(self, line):
        assert read_picture(line) is None
        assert not is_picture(line)
