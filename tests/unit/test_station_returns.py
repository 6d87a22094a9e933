"""What comes back: cartons, loose discs, numbers; inspection and destruction. Each rule accepts and refuses."""

import re

import pytest
from support_asking import contain
from support_dock import discs, plant, stocked
from support_judged import insert, judged, recorded
from support_pins import rebuilds
from support_plant import DOCK, DOCK_2, LAB, LINE, LINE_2, Floor, n, stamper

from tracelink.balance.labels import serial_balance
from tracelink.balance.lot import lot_balance
from tracelink.errors import ProjectionDiffers
from tracelink.genealogy.model.shapes import Shape
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced
from tracelink.ledger.kinds.returns import DiscsCameBack
from tracelink.store.journal.rebuild import rebuild
from tracelink.store.records.balance_facts import lot_records
from tracelink.store.records.label_facts import serial_records
from tracelink.store.records.sql_records import SqlRecords


@pytest.fixture
def floor():
    return stocked(plant())


@pytest.fixture
def sent(floor):
    """Pallet 1 with cartons 1 and 2 has left for Shop 1."""
    floor.play(DOCK, "PALLET | pallet 1 | carton 1 | carton 2 | CLOSE | ACCEPT | pallet 1 -> DONE")
    floor.play(DOCK, "SHIP | O1 | pallet 1 | DEPART -> DONE")
    return floor


@pytest.fixture
def numbered():
    """Carton 4 with numbers 1, 2, 3 of product 3 has left for Shop 3; carton 5 with 4 and 5 has not."""
    floor = stocked(plant())
    floor.scan(LINE_2, "REOPEN", "carton 4", '"more')
    floor.play(LINE_2, "disc 3.1 | sleeve 3 no 2 | disc 3.1 | sleeve 3 no 3 | CLOSE | carton 5 -> DONE")
    floor.play(LINE_2, "disc 3.1 | sleeve 3 no 4 | disc 3.1 | sleeve 3 no 5 | CLOSE -> DONE")
    floor.play(DOCK, "SHIP | O3 | PICK | carton 4 | carton 4 | DEPART -> DONE")
    return floor


class TestReturns:
    def test_a_carton_that_left_comes_back_is_inspected_and_restocked(self, sent):
        lot = n("L1")
        sent.play(
            DOCK,
            f"""
            RETURN -> NEXT
            carton 4 -> STOP not-shipped; The system shows carton {n("carton 4")} in no location: it has not left. Check the label before you book it in.
            carton 1 | "wrong title -> DONE; Return 1: carton {n("carton 1")} is back from Shop 1 and in quarantine.
            RETURN -> NEXT
            carton 1 -> STOP not-shipped; Carton {n("carton 1")} is booked in already: return 1, in quarantine. Nothing more to scan for it.
            CANCEL | carton 1 -> DONE; Carton {n("carton 1")} is returned, 2 of "Paper Comet Arithmetic" EX 101, in no location.
            PUT | carton 1 | Y2 | PALLET | pallet 2 -> DONE
            carton 1 -> STOP carton-returned; Carton {n("carton 1")} came back and is in quarantine. It needs RESTOCK after inspection.
            """,
        )
        assert discs(sent, "return 1") == {lot: 2}
        assert discs(sent, n("carton 1")) == {}
        sent.play(
            DOCK,
            f"""
            P4 -> DONE
            RESTOCK -> STOP wrong-role
            P1 | RESTOCK -> NEXT
            carton 4 -> STOP not-returned; Carton {n("carton 4")} is closed; only a returned carton goes back into stock.
            carton 1 | "looks new -> DONE; Carton {n("carton 1")} is inspected and in stock again.
            carton 1 -> DONE; Carton {n("carton 1")} is on pallet {n("pallet 2")}.
            """,
        )
        assert discs(sent, "return 1") == {}
        assert discs(sent, n("carton 1")) == {lot: 2}
        assert sent.read("return_line", "number", "carton", "discs", "status") == [
            (1, n("carton 1"), 2, "restocked")
        ]

    def test_a_pallet_comes_back_with_all_its_cartons(self, floor):
        floor.play(
            DOCK,
            f"""
            RETURN -> NEXT; Scan the pallet or the carton.
            pallet 1 -> STOP unknown-code
            CANCEL | PALLET | pallet 1 | carton 1 | carton 2 | CLOSE | ACCEPT | pallet 1 -> DONE
            RETURN -> NEXT
            pallet 1 -> STOP not-shipped; The system shows pallet {n("pallet 1")} in no location: it has not left. Check the label before you book it in.
            CANCEL | SHIP | O1 | pallet 1 | DEPART -> DONE
            RETURN | pallet 1 | "wrong pallet -> DONE; Returns 1 to 2: pallet {n("pallet 1")} with 2 cartons is back from Shop 1 and in quarantine. Check that all of them are there; each carton is inspected by itself.
            RETURN -> NEXT
            pallet 1 -> STOP pallet-empty; Every carton of pallet {n("pallet 1")} is booked in already. Scan the cartons that stand on it now.
            CANCEL | pallet 1 -> DONE; Pallet {n("pallet 1")} came back and is empty, in no location.
            = rows of nesting where parent {n("D1")}, child {n("pallet 1")} -> 1
            RESTOCK | carton 1 | "as it left -> DONE
            """,
        )
        assert floor.count("nesting", parent=n("D1"), closed_seq=None) == 0
        assert floor.read("return_line", "number", "carton", "status", order="number") == [
            (1, n("carton 1"), "restocked"),
            (2, n("carton 2"), "quarantine"),
        ]
        assert discs(floor, n("carton 1")) == {n("L1"): 2}
        assert discs(floor, "return 2") == {n("L1"): 2}

    def test_a_pallet_that_came_back_is_so_after_a_rebuild_and_when_judged_again(self):
        floor = Floor.copy()
        floor.press(1)
        floor.scan(LAB, "P1", "RELEASE", "L1", '"good')
        floor.open_line(1, [11], 1)
        floor.match(1, 2)
        floor.scan(LINE, "CLOSE")
        floor.scan(DOCK, "P1", "PALLET", "pallet 1", "carton 1", "CLOSE", "ACCEPT", "pallet 1")
        floor.play(DOCK, 'SHIP | O1 | pallet 1 | DEPART | RETURN | pallet 1 | "wrong title -> DONE')
        assert floor.kinds()[-1] == "pallet-came-back"
        rebuilds(floor)
        assert judged(floor).unforced is None

    def test_discs_without_a_carton_name_their_lot_only_if_it_is_the_only_one(self, sent):
        sent.play(
            DOCK,
            f"""
            RETURNLOOSE -> NEXT; Type " and then the matrix number on the disc.
            "nonsense -> STOP foreign-disc
            "ex-101-a -> NEXT; Type " and then the stamper mark beside it.
            "banana -> STOP mark-unknown; "banana" is not a stamper of this plant. Stampers with EX-101-A: {n("T4")}, {n("T5")}. If the mark cannot be read, scan CANCEL, then RETURNNOMARK.
            "T000004Q -> STOP mark-unknown
            "{n("T3")} -> STOP mark-unknown
            "{n("T14")} -> STOP wrong-matrix; Stamper {n("T14")} has EX-101-B, and you typed EX-101-A. Read both on the same side of the disc; to type the matrix number again scan CANCEL.
            "{n("T4").lower()} -> NEXT
            #0 -> STOP wrong-count; You keyed 0, and a return has at least 1 disc. Key how many came back.
            #3 -> DONE; Return 1: 3 discs EX-101-A of lot {n("L1")}, in quarantine.
            RETURNNOMARK | "EX-103-A | #1 -> DONE; Return 2: 1 disc EX-103-A of an unknown lot (0 shipped lots fit), in quarantine. It is a numbered edition: scan each sleeve now.
            """,
        )
        assert sent.read("return_line", "number", "lot", "discs", order="number") == [
            (1, n("L1"), 3),
            (2, None, 1),
        ]
        # They are in quarantine; no carton is made to give them up.
        assert (discs(sent, "returned"), discs(sent, "return 1")) == ({}, {n("L1"): 3})
        assert discs(sent, n("carton 1")) == {n("L1"): 2}
        assert sent.read("movement", "quantity", "target", source="customers") == [(3, "returned")]
        assert sent.read("return_line", "mark", order="number") == [(n("T4"),), ("",)]

    def test_a_mark_that_cannot_be_read_is_said_by_a_card_and_not_by_a_word(self, sent):
        sent.play(
            DOCK,
            """
            RETURNLOOSE | "EX-105-D -> NEXT
            "worn -> STOP mark-unknown
            CANCEL | RETURNNOMARK | "EX-101-A | #2 -> DONE
            RETURNLOOSE | "EX-999-A -> NEXT
            "worn -> STOP mark-unknown; "worn" is not a stamper of this plant. No stamper has EX-999-A: read that again too. If the mark cannot be read, scan CANCEL, then RETURNNOMARK.
            """,
        )

    def test_a_return_number_is_given_once(self, sent):
        """Two docks are at it at the same time; and somebody with the database in hand gives a number again."""
        sent.play(DOCK, 'RETURNNOMARK | "EX-101-A -> NEXT')
        sent.play(DOCK_2, 'P1 | RETURNNOMARK | "EX-101-A | #1 -> DONE; Return 1: 1 disc...')
        sent.play(DOCK, "#2 -> DONE; Return 2: 2 discs...")
        assert sent.read("return_line", "number", "discs", order="number") == [(1, 1), (2, 2)]
        came_back = [entry for entry, _scans in recorded(sent) if entry.kind == DiscsCameBack.kind]
        forged = insert(sent, came_back[0])
        with pytest.raises(ProjectionDiffers) as told, sent.ledger.transaction() as conn:
            rebuild(conn)
        # What the database itself says of its rule is its own, in one line.
        said, reason = str(told.value).split(": ", 1)
        assert said == f"entry {forged.seq} (discs-came-back) cannot be projected"
        assert re.fullmatch(r".*unique constraint.*return_line.*", reason, re.IGNORECASE)

    def test_two_lots_of_one_stamper_leave_the_lot_unknown(self, sent):
        sent.press(5, stacks=1)
        sent.scan(LINE, "CLOSE", "CLEAR", "P2", "B1", "K51", "carton 6")
        sent.match(1, 1)
        sent.scan(LINE, "CLOSE")
        sent.play(LAB, 'RELEASE | L5 | "good -> DONE')
        sent.play(DOCK, "SHIP | O1 | PICK | carton 6 | carton 6 | DEPART -> DONE")
        sent.play(
            DOCK,
            'RETURNNOMARK | "EX-101-A | #1 -> DONE; '
            f"Return 1: 1 disc EX-101-A of an unknown lot (2 shipped lots fit: {n('L1')}, {n('L5')}), in quarantine.",
        )

    def test_destruction_needs_a_witness(self, sent):
        sent.play(
            DOCK,
            f"""
            RETURN | carton 1 | "scratched | DESTROY -> NEXT
            carton 2 -> STOP not-to-be-destroyed; Carton {n("carton 2")} is closed; only a returned or a broken carton is destroyed.
            #1 -> STOP unknown-code; Return 1 is carton {n("carton 1")}; scan its label.
            #9 -> STOP unknown-code; Return 9 is not in the system.
            carton 1 | "no use -> NEXT; Scan the badge of the witness.
            P1 -> STOP same-person
            P2 -> DONE; Carton {n("carton 1")} with 2 discs destroyed before a witness.
            carton 1 -> DONE
            RESTOCK -> NEXT
            carton 1 -> STOP not-returned
            CANCEL | RETURNNOMARK | "EX-101-A | #2 | DESTROY | #2 | "no use | P2 -> DONE; 2 discs of return 2 destroyed before a witness.
            DESTROY -> NEXT
            #2 -> STOP not-in-quarantine; The discs of return 2 are destroyed already.
            """,
        )
        assert discs(sent, "destroyed") == {n("L1"): 4}
        assert dict(sent.read("return_line", "number", "status")) == {1: "destroyed", 2: "destroyed"}

    def test_a_broken_carton_can_be_destroyed(self, floor):
        floor.play(DOCK, 'BREAK | carton 1 | "wet | DESTROY | carton 1 | "mould | P2 -> DONE')
        assert discs(floor, "destroyed") == {n("L1"): 2}
        floor.play(DOCK, "PALLET | pallet 1 -> DONE\ncarton 1 -> STOP carton-destroyed")

    def test_more_discs_than_were_sent_are_booked_as_a_finding(self, sent):
        sent.play(
            DOCK,
            f"""
            RETURNNOMARK | "EX-101-A | #5 -> STOP more-than-shipped; Return 1: 5 discs EX-101-A of an unknown lot (1 shipped lot fits: {n("L1")}), in quarantine. The system shows only 4 of lot {n("L1")} with customers. Count again and tell quality.
            RETURNNOMARK | "EX-101-A | #3 -> DONE
            RETURNNOMARK | "EX-101-A | #2 -> STOP more-than-shipped
            """,
        )
        assert sent.read("finding", "subject", "expected", "found", finding="more-than-shipped") == [
            (n("L1"), "at most 4", "5"),
            (n("L1"), "at most 1", "2"),
        ]

    def test_loose_discs_of_one_lot_are_restocked_on_a_spindle_and_packed_again(self, sent):
        sent.play(
            DOCK,
            f"""
            RETURNNOMARK | "EX-101-A | #3 -> DONE
            RESTOCKLOOSE | #1 -> NEXT; Scan a new spindle card.
            K11 -> STOP card-in-use
            K77 | "look new -> DONE; 3 discs of return 1 are inspected and on spindle {n("K77")}, to be packed again.
            RESTOCKLOOSE -> NEXT
            #1 -> STOP not-in-quarantine; The discs of return 1 are restocked already.
            """,
        )
        assert (discs(sent, "return 1"), discs(sent, n("K77"))) == ({}, {n("L1"): 3})
        sent.scan(LINE, "K77")
        sent.match(1, 2)
        assert sent.verdicts[-1].finding is None
        with sent.ledger.reading() as conn:
            balance = lot_balance(lot_records(conn, n("L1")))
            scope = contain(SqlRecords(conn), stamper("EX-101-A"), Shape.WHOLE_LIFE)
        assert {line.name: line.difference for line in balance.lines if line.difference} == {}
        assert [
            (term.name, term.quantity)
            for line in balance.lines
            if line.name == "returned"
            for term in (*line.came, *line.went)
        ] == [("came back loose", 3), ("restocked loose", 3)]
        places = {place.place: place.pieces for place in scope.places}
        assert places["came back loose, also counted as shipped"] == -3
        assert places["shipped"] == 4
        assert sum(places.values()) - places["total"] == places["total"] == 20
        assert scope.contradictions == ()
        assert [gap for gap in scope.gaps if gap.startswith("3 discs of lot")]

    def test_a_hold_on_any_stroke_of_the_lot_bars_discs_that_came_back_loose(self, sent):
        """Their strokes are not known, so none of them is clear of a hold on some strokes."""
        sent.play(DOCK, 'RETURNNOMARK | "EX-101-A | #1 -> DONE')
        with sent.ledger.writing() as booking:
            body = HoldPlaced(n("H1"), n("L1"), (HeldItem(n("L1"), 1, 3),))
            booking.record(body, Stamp(sent.at, "2031-03-03T07:30:00Z", person=n("P1")), "scratch")
        sent.play(DOCK, 'RESTOCKLOOSE | #1 | K77 | "new -> DONE')
        sent.play(LINE, "K77 -> STOP on-hold")

    def test_discs_of_an_unknown_or_unreleased_lot_are_not_restocked(self, sent):
        sent.play(
            DOCK,
            """
            RETURNNOMARK | "EX-103-A | #1 | RESTOCKLOOSE -> NEXT
            #1 -> STOP lot-unknown; Nobody knows which lot the discs of return 1 are from, so they cannot be stock again. Scan DESTROY, or leave them in quarantine.
            #7 -> STOP unknown-code; Return 7 is not in the system.
            CANCEL | RETURNNOMARK | "EX-101-A | #1 -> DONE
            """,
        )
        sent.play(LAB, 'REJECT | L1 | "clicks -> DONE')
        sent.play(DOCK, "RESTOCKLOOSE -> NEXT\n#2 -> STOP lot-not-released")


class TestNumbers:
    """The number of each returned or destroyed sleeve of a numbered edition is known, or said not to be."""

    def balance(self, floor):
        with floor.ledger.reading() as conn:
            return serial_balance(serial_records(conn, n("B3")))

    def test_the_numbers_of_a_returned_carton(self, numbered):
        numbered.play(
            DOCK,
            f"""
            sleeve 3 no 1 -> STOP wrong-carton
            RETURN | carton 4 | "dented -> DONE; Return 1: carton {n("carton 4")} is back from Shop 3 and in quarantine. It is a numbered edition: scan each sleeve now.
            sleeve 3 no 1 -> DONE; Return 1: number 1 of "Nine Pale Windmills" is back.
            sleeve 3 no 1 -> STOP duplicate-number
            sleeve 3 no 2 -> DONE
            sleeve 3 no 4 -> STOP wrong-carton; The system shows number 4 of "Nine Pale Windmills" in carton {n("carton 5")}, in no location. Put the sleeve aside for quality, or scan RETURN or RETURNLOOSE first.
            sleeve 3 no 9 -> STOP wrong-number; Number 9 of "Nine Pale Windmills" was never packed. Put the sleeve aside for quality.
            sleeve 1 -> STOP no-number; Only the numbers of returned sleeves are scanned here; this edition has no numbers.
            """,
        )
        assert numbered.verdicts[-4].count == "2 of 3 numbers"
        found = self.balance(numbered)
        assert (found.used, found.returned, found.destroyed) == (3, 2, 0)
        numbered.play(
            DOCK,
            f'RESTOCK | carton 4 | "fine -> DONE; Carton {n("carton 4")} is inspected and in stock again. Numbers scanned: 2 of 3.',
        )
        found = self.balance(numbered)
        assert (found.used, found.returned, found.destroyed) == (5, 0, 0)

    def test_a_destroyed_number_seen_again_is_a_finding_at_the_line_and_at_the_dock(self, numbered):
        numbered.play(
            DOCK,
            f"""
            RETURN | carton 4 | "wet | sleeve 3 no 1 | sleeve 3 no 2 -> DONE
            DESTROY | carton 4 | "mould | P2 -> DONE; Carton {n("carton 4")} with 3 discs destroyed before a witness. 3 numbers destroyed with it, 1 of them not scanned.
            sleeve 3 no 1 -> STOP destroyed-number; The system shows number 1 of "Nine Pale Windmills" as destroyed. Put the sleeve aside for quality.
            """,
        )
        numbered.play(
            LINE_2,
            """
            carton 6 | disc 3.1 -> NEXT
            sleeve 3 no 3 -> STOP destroyed-number; The system shows sleeve number 3 as destroyed. Put this sleeve aside for quality and scan STOP.
            sleeve 3 no 6 -> MATCH
            """,
        )
        found = self.balance(numbered)
        assert (found.used, found.returned, found.destroyed) == (3, 0, 3)
        assert (found.destroyed_but_seen, found.double) == (("1", "3"), ())
        assert not found.agrees

    def test_destroyed_numbers_say_of_which_return_they_are(self, numbered):
        """Carton 4 came back, carton 5 never left: it was broken in the plant."""
        numbered.play(
            DOCK,
            f"""
            RETURN | carton 4 | "wet | sleeve 3 no 1 | DESTROY | carton 4 | "mould | P2 -> DONE
            BREAK | carton 5 | "crushed | DESTROY | carton 5 | "crushed -> NEXT
            P2 -> DONE; Carton {n("carton 5")} with 2 discs destroyed before a witness. 2 numbers destroyed with it, 2 of them not scanned.
            """,
        )
        assert numbered.read("number_fate", "number", "return_number", order="number", fate="destroyed") == [
            ("1", 1), ("2", 1), ("3", 1), ("4", None), ("5", None),
        ]  # fmt: skip

    def test_a_loose_numbered_sleeve_is_free_to_be_packed_again(self, numbered):
        numbered.play(
            DOCK,
            """
            RETURNNOMARK | "EX-103-A | #1 -> DONE
            sleeve 3 no 5 -> STOP wrong-carton
            sleeve 3 no 2 -> DONE; Return 1: number 2 of "Nine Pale Windmills" is back.
            sleeve 3 no 3 -> STOP wrong-carton
            """,
        )
        assert self.balance(numbered).returned == 1
        numbered.play(
            LINE_2, "carton 6 | disc 3.1 -> NEXT\nsleeve 3 no 2 -> STOP duplicate-number\nSTOP -> DONE"
        )
        numbered.play(LAB, 'LIFT | H1 | "it came back | P2 -> DONE')
        numbered.play(DOCK, 'RESTOCKLOOSE | #1 | K77 | "fine -> DONE')
        assert (self.balance(numbered).used, self.balance(numbered).returned) == (4, 1)
        numbered.play(LINE_2, "K77 | disc 3.1 | sleeve 3 no 2 | CLOSE -> DONE")
        assert (self.balance(numbered).used, self.balance(numbered).returned) == (5, 0)

    def test_loose_numbers_are_destroyed_with_their_discs(self, numbered):
        numbered.play(DOCK, 'RETURNNOMARK | "EX-103-A | #2 | sleeve 3 no 2 | DESTROY | #1 | "cracked -> NEXT')
        numbered.play(
            DOCK, "P2 -> DONE; 2 discs of return 1 destroyed before a witness. 1 number destroyed with it."
        )
        assert self.balance(numbered).destroyed == 1
