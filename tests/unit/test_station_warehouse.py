"""The rest of the dock: rebuilt pallets, broken cartons, places, picks, departure, returns, destruction."""

import threading

import pytest
from support_asking import contain
from support_dock import discs, plant, statuses, stocked
from support_plant import DOCK, DOCK_2, LAB, LINE, LINE_2, Floor, n, pallet_sscc, raw, stamper

from tracelink.genealogy.model.shapes import Shape
from tracelink.station.common import form_state
from tracelink.station.common.form_state import FormState
from tracelink.station.dock.acts import ACTS
from tracelink.store.ledger import Ledger
from tracelink.store.records.sql_records import SqlRecords


@pytest.fixture
def floor():
    return stocked(plant())


@pytest.fixture
def stacked(floor):
    """Pallet 1 with cartons 1 and 2, closed."""
    floor.play(DOCK, "PALLET | pallet 1 | carton 1 | carton 2 | CLOSE -> DONE")
    return floor


@pytest.fixture
def accepted(stacked):
    stacked.play(DOCK, "ACCEPT | pallet 1 -> DONE")
    return stacked


@pytest.fixture
def sent(accepted):
    """Pallet 1 has left for Shop 1."""
    accepted.play(DOCK, "SHIP | O1 | pallet 1 | DEPART -> DONE")
    return accepted


class TestRebuilding:
    def test_a_carton_comes_off_an_open_or_a_closed_pallet(self, stacked):
        stacked.play(
            DOCK,
            f"""
            UNSTACK -> NEXT; Scan the carton.
            carton 4 -> STOP not-on-a-pallet; Carton {n("carton 4")} is not on a pallet. The system shows it in no location.
            carton 8 -> STOP unknown-code; Carton {n("carton 8")} has not been packed.
            pallet 1 -> STOP wrong-thing; You scanned pallet label {n("pallet 1")}. Scan a carton label.
            carton 1 -> NEXT; Type " and then the reason.
            L1 -> STOP wrong-thing; You scanned lot card {n("L1")}. Type " and then the reason.
            "crushed -> DONE; Carton {n("carton 1")} is off pallet {n("pallet 1")}, which holds 1 carton now.
            UNSTACK | carton 2 | "too -> DONE
            ACCEPT -> NEXT
            pallet 1 -> STOP pallet-empty; Pallet {n("pallet 1")} is empty now; there is nothing to accept.
            CANCEL | REOPEN | pallet 1 | "again | carton 1 | UNSTACK | carton 1 | "no -> DONE
            """,
        )
        assert stacked.count("nesting", closed_seq=None) == 0

    def test_an_accepted_pallet_is_opened_first_and_loses_its_acceptance(self, accepted):
        accepted.play(
            DOCK,
            f"""
            UNSTACK -> NEXT
            carton 1 -> STOP pallet-not-open; Carton {n("carton 1")} is on pallet {n("pallet 1")}, which is accepted. Scan REOPEN first.
            CANCEL | REOPEN | pallet 1 -> NEXT
            "a carton leaks -> DONE; Pallet {n("pallet 1")} is open again. It must be accepted again.
            REOPEN -> STOP pallet-open
            CLOSE | SHIP | O1 -> DONE
            pallet 1 -> STOP pallet-not-accepted
            """,
        )

    def test_only_a_closed_or_accepted_pallet_is_opened(self, sent):
        sent.play(
            DOCK,
            f"""
            REOPEN -> NEXT
            pallet 1 -> STOP pallet-not-closed; Pallet {n("pallet 1")} is shipped; only a closed or an accepted pallet can be opened again.
            pallet 2 -> STOP unknown-code; Pallet {n("pallet 2")} has not been built.
            """,
        )

    def test_a_part_pallet_says_so_and_a_full_one_takes_no_more(self):
        floor = stocked(plant(cartons_per_pallet=2))
        floor.play(
            DOCK,
            f"""
            PALLET | pallet 1 | carton 1 | CLOSE -> DONE; Pallet {n("pallet 1")} is closed with 1 carton: a part pallet, 2 would fill it.
            REOPEN | pallet 1 | "more | carton 2 -> DONE
            carton 4 -> STOP pallet-full; Pallet {n("pallet 1")} is full with 2 cartons. Scan CLOSE.
            CLOSE -> DONE; Pallet {n("pallet 1")} is closed with 2 cartons.
            """,
        )

    def test_titles_are_mixed_with_a_note_or_not_at_all(self, floor):
        note = 'It is a mixed pallet: "Paper Comet Arithmetic" EX 101 and "Nine Pale Windmills" EX 103.'
        floor.play(
            DOCK,
            f"""
            PALLET | pallet 1 | carton 1 -> DONE
            carton 4 -> DONE; Carton {n("carton 4")} is on pallet {n("pallet 1")}. {note}
            """,
        )
        other = stocked(plant(mixed_pallets=0))
        other.play(
            DOCK,
            f"""
            PALLET | pallet 1 | carton 1 -> DONE
            carton 4 -> STOP mixed-pallet; Carton {n("carton 4")} holds "Nine Pale Windmills" EX 103; pallet {n("pallet 1")} holds "Paper Comet Arithmetic" EX 101. Build another pallet for it.
            carton 2 -> DONE
            """,
        )


class TestReleaseGate:
    @pytest.mark.parametrize("full", [0, 40])
    def test_one_rejected_lot_bars_a_pallet_until_its_last_piece_is_off(self, full):
        """A part pallet is barred like a full one."""
        floor = stocked(plant(cartons_per_pallet=full))
        floor.play(LAB, 'REJECT | L4 | "clicks -> DONE')
        floor.play(
            DOCK,
            f"""
            PALLET | pallet 1 | carton 1 -> DONE
            carton 4 -> STOP on-hold; Carton {n("carton 4")} is on hold: clicks (hold {n("H1")} on {n("L4")}). Put it aside.
            """,
        )
        floor.play(LAB, 'LIFT | H1 | "marked | P2 -> DONE')
        floor.play(
            DOCK,
            f"""
            carton 4 | CLOSE | ACCEPT -> NEXT
            pallet 1 -> STOP lot-not-released; Pallet {n("pallet 1")} holds discs of lots that are not released: {n("L4")} (rejected). Leave it where it is.
            CANCEL | UNSTACK | carton 4 | "rejected lot | ACCEPT | pallet 1 | SHIP | O1 | PICK | pallet 1 -> NEXT
            """,
        )
        floor.play(LAB, 'REJECT | L1 | "clicks too -> DONE')
        floor.play(DOCK, "pallet 1 -> STOP on-hold")
        floor.play(LAB, 'LIFT | H2 | "marked | P2 -> DONE')
        floor.play(
            DOCK,
            "pallet 1 -> STOP lot-not-released\nCANCEL | PICK -> NEXT\npallet 1 -> STOP lot-not-released",
        )


class TestBroken:
    def test_a_broken_carton_is_no_stock_until_it_is_counted(self, accepted):
        accepted.play(
            DOCK,
            f"""
            BREAK | carton 1 -> NEXT
            "torn -> DONE; Carton {n("carton 1")} is broken: nobody knows now what is in it. Put it aside until it is counted.
            carton 1 -> STOP carton-broken; Carton {n("carton 1")} is broken, and nobody knows what is in it. Count it with REPACK.
            CLOSE | BREAK -> NEXT
            carton 1 -> STOP carton-broken
            CANCEL | SHIP | O1 | PICK -> NEXT
            carton 1 -> STOP carton-broken
            CANCEL | REPACK -> NEXT
            carton 2 -> STOP carton-not-broken; Carton {n("carton 2")} is closed. REPACK is for a broken carton.
            carton 1 -> NEXT
            #3 -> STOP wrong-count; Carton {n("carton 1")} held 2; 3 cannot be sealed in it. Count again: pieces of another carton do not belong in it.
            #1 | "one was gone -> DONE; Carton {n("carton 1")} is sealed again with 1, 1 fewer than the system showed.
            """,
        )
        assert accepted.read("carton", "units", order="sscc")[0] == (1,)
        assert discs(accepted, "lost") == {n("L1"): 1}
        # The pallet it stood on is not the one that was accepted.
        assert statuses(accepted, "pallet") == {n("pallet 1"): "closed"}

    def test_what_it_holds_is_a_possibility_from_then_on(self, floor):
        def scope():
            with floor.ledger.reading() as conn:
                return contain(SqlRecords(conn), stamper("EX-101-A"), Shape.WHOLE_LIFE)

        def suspects(found):
            return {held.code: (held.pieces, held.least, held.most) for held in found.containers}

        floor.play(LAB, 'SAMPLE | L1 | S1 | #20 | K12 | BAD | S1 | "Click -> DONE')
        floor.scan(LINE, "disc 1.1", "sleeve 1", "CLOSE")
        before = suspects(scope())
        assert before[n("carton 3")] == (1, 1, 1)
        floor.play(DOCK, 'BREAK | carton 3 | "torn -> DONE')
        after = scope()
        assert suspects(after)[n("carton 3")] == (1, 0, 1)
        [line] = [place for place in after.places if place.place == "carton broken"]
        assert (line.pieces, line.least, line.most, line.tight) == (1, 0, 1, False)
        assert any(
            f"Carton {n('carton 3')} was found open or damaged: what it holds of lot {n('L1')} is a possibility"
            in gap
            for gap in after.gaps
        )

    def test_what_is_missing_of_a_numbered_edition_is_not_guessed(self, floor):
        floor.scan(LINE_2, "carton 5", "disc 3.1", "sleeve 3 no 2", "disc 3.1", "sleeve 3 no 3", "CLOSE")
        floor.play(
            DOCK,
            f"""
            BREAK | carton 5 | "wet | REPACK | carton 5 -> NEXT
            #1 -> STOP not-inferable; Carton {n("carton 5")} is short of 1, and nobody knows which numbers are missing. Leave it broken.
            #2 | "all there -> DONE; Carton {n("carton 5")} is sealed again with 2.
            """,
        )

    def test_an_opened_carton_that_differs_is_a_finding_and_held(self, floor):
        hold = n("H1")
        floor.play(
            DOCK,
            f"""
            OPENCHECK | carton 1 | #2 -> DONE; Carton {n("carton 1")} holds 2, as the system shows.
            OPENCHECK -> NEXT
            carton 3 -> STOP carton-open
            carton 2 -> NEXT; Open it and key how many finished units are in it, such as #25.
            #1 -> STOP count-differs; Carton {n("carton 2")} holds 1; the system shows 2 (-1). It is on hold now (hold {hold}): put it aside and call quality. Lot {n("L1")} is under investigation.
            PALLET | pallet 1 | carton 1 -> DONE
            carton 2 -> STOP on-hold
            """,
        )
        assert floor.read("aggregation_check", "recorded", "counted", order="seq") == [(2, 2), (2, 1)]
        assert floor.read("finding", "subject", "expected", "found", finding="count-differs") == [
            (n("carton 2"), "2", "1")
        ]
        assert floor.read("investigation", "subject", "difference", "reason") == [
            (n("L1"), 1, f"carton {n('carton 2')} opened and counted 1; the system shows 2 (-1)")
        ]

    @pytest.mark.parametrize("word", ["OPENCHECK", "BREAK"])
    def test_a_carton_on_a_vehicle_is_taken_off_first(self, floor, word):
        floor.play(
            DOCK,
            f"""
            SHIP | O1 | PICK | carton 1 | carton 1 -> DONE
            {word} -> NEXT
            carton 1 -> STOP has-a-parent; Carton {n("carton 1")} is in shipment {n("D1")} for Shop 1, dock 5. Scan UNLOAD or RETURN first.
            """,
        )


class TestPlaces:
    def test_put_move_find(self, accepted):
        accepted.play(
            DOCK,
            f"""
            MOVE -> NEXT
            pallet 1 -> STOP not-put-away; The system shows pallet {n("pallet 1")} in no location. Scan PUT instead.
            CANCEL | PUT | pallet 1 -> NEXT; Scan the location.
            W5 -> STOP wrong-thing; You scanned station {n("W5")}. Scan a location.
            Y9 -> STOP unknown-code; Location {n("Y9")} is not in the system.
            Y1 -> DONE; Pallet {n("pallet 1")} is in location {n("Y1")} (rack 1).
            PUT -> NEXT
            pallet 1 -> STOP put-away-already; The system shows pallet {n("pallet 1")} in location {n("Y1")} (rack 1). Scan MOVE to take it elsewhere.
            carton 1 -> STOP has-a-parent
            carton 3 -> STOP carton-open; Carton {n("carton 3")} is open. It cannot be put away.
            CANCEL | MOVE | pallet 1 -> NEXT
            Y1 -> STOP there-already; Pallet {n("pallet 1")} is in location {n("Y1")} (rack 1) already.
            Y2 -> DONE
            pallet 1 -> DONE; Pallet {n("pallet 1")} is accepted, 2 cartons, in location {n("Y2")} (rack 2).
            carton 1 -> DONE; Carton {n("carton 1")} is closed, 2 of "Paper Comet Arithmetic" EX 101, on pallet {n("pallet 1")}.
            SHIP | O1 | pallet 1 -> DONE
            """,
        )
        [(parent,)] = accepted.read("nesting", "parent", child=n("pallet 1"), closed_seq=None)
        assert parent == n("D1")

    def test_an_open_pallet_is_not_put_away(self, floor):
        floor.play(
            DOCK,
            f"""
            PALLET | pallet 1 | carton 1 | PUT -> NEXT
            pallet 1 -> STOP pallet-open; Pallet {n("pallet 1")} is still open. Close it first.
            """,
        )

    def test_a_bad_place_is_followed_to_all_that_stood_there(self, accepted):
        """A wet rack: what was taken from it since counts too."""
        accepted.play(DOCK, "PUT | pallet 1 | Y1 | SHIP | O1 | pallet 1 | DEPART -> DONE")
        with accepted.ledger.reading() as conn:
            scope = contain(SqlRecords(conn), n("Y1"), Shape.INTERMITTENT)
        assert {held.code: (held.pieces, held.most) for held in scope.containers} == {
            n("carton 1"): (2, 2),
            n("carton 2"): (2, 2),
        }
        assert [(place.place, place.pieces) for place in scope.places if place.place == "shipped"] == [
            ("shipped", 4)
        ]


class TestPicking:
    def test_a_loose_carton_is_picked_by_two_scans(self, floor):
        floor.play(DOCK, "PUT | carton 1 | Y1 -> DONE")
        floor.play(
            DOCK,
            f"""
            PICK -> STOP no-shipment; No shipment is being loaded here. Scan SHIP first.
            SHIP | O1 | PICK -> NEXT; Scan the carton or the pallet.
            carton 4 -> STOP wrong-title; Carton {n("carton 4")} holds "Nine Pale Windmills" EX 103; order {n("O1")} is for "Paper Comet Arithmetic" EX 101.
            carton 3 -> STOP carton-open
            carton 1 -> NEXT; Scan the same label again as it goes onto the vehicle.
            carton 2 -> STOP another-label; You scanned {n("carton 2")}, and first {n("carton 1")}. Scan the label of the piece you hold.
            carton 1 -> DONE; Carton {n("carton 1")} is loaded for Shop 1.
            D1 -> DONE; Shipment {n("D1")} holds 0 pallets and 1 loose carton.
            DEPART -> DONE; Shipment {n("D1")} left for Shop 1 with 1 loose carton. Order {n("O1")} is for 50 and has 2 (-48).
            """,
        )

    def test_a_carton_of_a_pallet_is_unstacked_first(self, accepted):
        accepted.play(
            DOCK, "SHIP | O1 | PICK -> NEXT\ncarton 1 -> STOP has-a-parent\npallet 1 | pallet 1 -> DONE"
        )

    @pytest.mark.parametrize("held", ["carton 1", "L1", "B1"])
    def test_a_held_or_rejected_carton_is_neither_picked_nor_sent(self, floor, held):
        floor.play(LAB, f'HOLD | {held} | "doubtful -> DONE')
        floor.play(DOCK, "SHIP | O1 | PICK -> NEXT\ncarton 1 -> STOP on-hold")
        floor.play(LAB, 'LIFT | H1 | "fine | P2 | REJECT | L1 | "clicks -> DONE')
        floor.play(DOCK, "carton 1 -> STOP on-hold")
        floor.play(LAB, 'LIFT | H2 | "marked | P2 -> DONE')
        floor.play(
            DOCK,
            f"carton 1 -> STOP lot-not-released; Carton {n('carton 1')} holds discs of lots that are not released: "
            f"{n('L1')} (rejected). Leave it where it is.",
        )
        floor.play(LAB, 'OVERRULE | L1 | "heard again | P2 -> DONE')
        floor.play(DOCK, "carton 1 | carton 1 -> DONE")
        floor.play(LAB, f'HOLD | {held} | "doubtful -> DONE')
        floor.play(DOCK, "DEPART -> STOP on-hold")

    def test_two_docks_and_the_last_carton(self, floor):
        floor.play(DOCK, "SHIP | O1 | PICK | carton 1 -> NEXT")
        floor.play(DOCK_2, "SHIP | O1 | PICK | carton 1 | carton 1 -> DONE")
        floor.play(
            DOCK,
            f"""
            carton 1 -> STOP has-a-parent; The system shows carton {n("carton 1")} in shipment {n("D2")} for Shop 1, dock 9. Check where it is before you go on. Scan CANCEL and begin again.
            CANCEL -> DONE
            """,
        )

    def test_two_docks_at_the_very_same_time(self, tmp_path):
        """Two threads on one file: whoever commits first has the carton, and the other is told who."""
        floor = Floor(Ledger.open(str(stocked(plant()).saved(tmp_path / "two.db"))))
        for dock in (DOCK, DOCK_2):
            floor.play(dock, "SHIP | O1 | PICK | carton 1 -> NEXT")
        gate, verdicts = threading.Barrier(2), {}

        def pick(dock):
            gate.wait()
            verdicts[dock] = floor.ledger.scan(dock, raw("carton 1"), floor.at)

        threads = [threading.Thread(target=pick, args=(dock,)) for dock in (DOCK, DOCK_2)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        lost = [verdict for verdict in verdicts.values() if verdict.finding]
        assert [verdict.finding for verdict in lost] == ["has-a-parent"]
        [(parent,)] = floor.read("nesting", "parent", child=n("carton 1"), closed_seq=None)
        [(gate,)] = floor.read("shipment", "station", code=parent)
        [(station,)] = floor.read("station", "name", code=gate)
        assert f"in shipment {parent} for Shop 1, {station}. Check where it is" in lost[0].sentence

    def test_unloading_before_the_vehicle_leaves(self, accepted):
        accepted.play(
            DOCK,
            f"""
            UNLOAD -> NEXT
            pallet 1 -> STOP not-loaded; Pallet {n("pallet 1")} is not on a vehicle; it is in no location.
            CANCEL | SHIP | O1 | pallet 1 | REOPEN -> NEXT
            pallet 1 -> STOP pallet-not-closed; Pallet {n("pallet 1")} is loaded; only a closed or an accepted pallet can be opened again. Scan UNLOAD first.
            CANCEL | UNLOAD | pallet 1 | "no room -> DONE; Pallet {n("pallet 1")} is off shipment {n("D1")} and in stock again.
            DEPART -> STOP shipment-empty
            pallet 1 | DEPART | UNLOAD -> NEXT
            pallet 1 -> STOP shipment-left; Shipment {n("D1")} with pallet {n("pallet 1")} has left. What comes back is booked with RETURN, what never left with CORRECTLOAD.
            """,
        )


class TestDeparture:
    def test_the_drivers_check_is_of_the_load_as_it_leaves(self):
        floor = stocked(plant(driver_check=1))
        floor.play(
            DOCK,
            f"""
            SHIP | O1 | DRIVER -> STOP shipment-empty
            PICK | carton 1 | carton 1 -> DONE
            DEPART -> STOP no-driver-check; No driver has checked shipment {n("D1")} as it is loaded now. Scan DRIVER first.
            DRIVER -> NEXT; Type " and then the name of the driver.
            #7 -> STOP wrong-thing
            "Dora -> DONE; Dora checked shipment {n("D1")}: 1 loose carton.
            PICK | carton 2 | carton 2 -> DONE
            DEPART -> STOP no-driver-check
            UNLOAD | carton 2 | "wrong one -> DONE
            DEPART -> STOP no-driver-check
            DRIVER | "Dora | DEPART -> DONE
            """,
        )

    def test_a_look_at_a_loose_carton_is_not_taken_for_a_load(self):
        floor = stocked(plant(ordered=2))
        look = f'Carton {n("carton 1")} is closed, 2 of "Paper Comet Arithmetic" EX 101, in no location.'
        floor.play(
            DOCK,
            f"""
            carton 1 -> DONE; {look}
            SHIP | O1 | carton 1 -> DONE; {look} It is not loaded: scan PICK to load it into shipment {n("D1")}.
            PICK | carton 1 | carton 1 | UNLOAD -> NEXT
            DEPART -> DONE; UNLOAD cancelled. Shipment {n("D1")} left for Shop 1 with 1 loose carton.
            """,
        )

    def test_what_an_order_lacks_or_has_too_much_is_told_though_it_may_leave(self):
        floor = stocked(plant(ordered=3))
        floor.play(
            DOCK,
            f"""
            SHIP | O1 | PICK | carton 1 | carton 1 -> DONE
            DEPART -> DONE; Shipment {n("D1")} left for Shop 1 with 1 loose carton. Order {n("O1")} is for 3 and has 2 (-1).
            SHIP | O1 | PICK | carton 2 | carton 2 -> DONE
            DEPART -> DONE; Shipment {n("D2")} left for Shop 1 with 1 loose carton. Order {n("O1")} is for 3 and has 4 (+1).
            """,
        )

    def test_short_and_over_are_judged_at_departure(self):
        floor = stocked(plant(ship_short_percent=10, ship_over_percent=10))
        floor.play(
            DOCK,
            f"""
            SHIP | O1 | PICK | carton 1 | carton 1 -> DONE
            DEPART -> STOP shipment-short; Order {n("O1")} is for 50; with shipment {n("D1")} it has 2 (-48), more than 10 % short. Correct the load, or have quality scan ACCEPTLOAD.
            ACCEPTLOAD | "the rest next week -> DONE; Shipment {n("D1")} left for Shop 1 with 1 loose carton. Order {n("O1")} is for 50 and has 2 (-48).
            """,
        )

    def test_the_word_of_an_older_card_is_still_taken(self):
        """Cards printed before hang at docks, and a log recorded with one is replayed."""
        floor = stocked(plant(ship_short_percent=10, ship_over_percent=10))
        floor.play(
            DOCK,
            """
            SHIP | O1 | PICK | carton 1 | carton 1 -> DONE
            LEAVEANYWAY -> NEXT; Type " and then the reason.
            DEPART -> STOP shipment-short
            ACCEPTLOAD | LEAVEANYWAY -> NEXT; Type " and then the reason.
            CANCEL -> DONE; ACCEPTLOAD cancelled.
            LEAVEANYWAY | "the rest next week -> DONE
            """,
        )
        assert floor.read("journal", "kind", kind="load-agreed") == [("load-agreed",)]

    def test_an_act_begun_under_its_old_word_is_finished_under_its_new_one(self):
        begun = form_state.evolve_spooled(FormState(person=n("P2")), {"form": "LEAVEANYWAY"})
        assert ACTS.form(begun.form) is ACTS.forms["ACCEPTLOAD"]
        assert "LEAVEANYWAY" not in ACTS.forms

    def test_too_much_is_judged_too_and_only_quality_agrees(self):
        floor = stocked(plant(ordered=1, ship_over_percent=10))
        floor.play(
            DOCK,
            f"""
            SHIP | O1 | PICK | carton 1 | carton 1 -> DONE
            DEPART -> STOP shipment-over; Order {n("O1")} is for 1; with shipment {n("D1")} it has 2 (+1), more than 10 % over. Correct the load, or have quality scan ACCEPTLOAD.
            P4 -> DONE
            ACCEPTLOAD -> STOP wrong-role; Dan may not do ACCEPTLOAD: that needs the role quality. Ask someone who has it.
            """,
        )


@pytest.mark.parametrize(
    "word",
    ["UNSTACK", "REOPEN", "BREAK", "REPACK", "OPENCHECK", "PUT", "MOVE", "PICK", "UNLOAD", "DRIVER", "RETURN",
     "RETURNLOOSE", "RESTOCK", "RESTOCKLOOSE", "DESTROY", "ACCEPTLOAD"],
)  # fmt: skip
def test_no_act_of_the_dock_is_done_by_somebody_else(floor, word):
    floor.play(DOCK, f"P3 -> DONE\n{word} -> STOP wrong-role")


@pytest.mark.parametrize("word", ["UNSTACK", "REOPEN", "BREAK", "REPACK", "OPENCHECK", "PUT", "MOVE", "UNLOAD", "RETURN", "RESTOCK", "DESTROY"])  # fmt: skip
def test_a_label_never_issued_is_foreign_to_every_act(floor, word):
    floor.play(DOCK, f"{word} -> NEXT\n{raw(pallet_sscc(101))} -> STOP unknown-code")


def test_a_location_says_what_stands_there(floor):
    floor.play(
        DOCK,
        f"""
        Y1 -> DONE; Location {n("Y1")} (rack 1) is empty.
        Y9 -> STOP unknown-code; Location {n("Y9")} is not in the system.
        PUT | carton 1 | Y1 | PUT | carton 2 | Y1 -> DONE
        Y1 -> DONE; Location {n("Y1")} (rack 1) holds 2 cartons: carton {n("carton 1")}, carton {n("carton 2")}.
        """,
    )


class TestTheDriverTakesTheRightOnes:
    """Carton 1 on pallet 1 is for Shop 1 on the vehicle; carton 2 is loose on it; carton 4 stays here."""

    def loaded(self, **settings):
        floor = stocked(plant(**settings))
        floor.play(
            DOCK, "PALLET | pallet 1 | carton 1 | CLOSE | ACCEPT | pallet 1 | PUT | carton 4 | Y1 -> DONE"
        )
        floor.play(DOCK, "SHIP | O1 | pallet 1 | PICK | carton 2 | carton 2 -> DONE")
        return floor

    def test_where_each_piece_is_scanned_a_wrong_one_stops(self):
        floor = self.loaded(driver_check=2)
        floor.play(
            DOCK,
            f"""
            DEPART -> STOP no-driver-check
            DRIVER -> NEXT; Type " and then the name of the driver.
            "Dora -> NEXT; Scan the next pallet or loose carton on the vehicle.
            pallet 1 -> NEXT
            carton 4 -> STOP not-loaded; Carton {n("carton 4")} is not in shipment {n("D1")} for Shop 1: the system shows it in location {n("Y1")} (rack 1). Take it off the vehicle.
            carton 1 -> STOP not-loaded; Carton {n("carton 1")} is on pallet {n("pallet 1")}, which is in this shipment. Scan the label of the pallet.
            pallet 1 -> STOP another-label; Pallet {n("pallet 1")} is checked already. Scan the next one.
            pallet 9 -> STOP unknown-code
            carton 2 -> DONE; Dora checked shipment {n("D1")}: 1 pallet and 1 loose carton.
            DEPART -> DONE
            """,
        )

    def test_where_only_the_name_is_asked_a_wrong_label_stops_all_the_same(self):
        floor = self.loaded(driver_check=1)
        floor.play(
            DOCK,
            """
            DRIVER -> NEXT
            carton 4 -> STOP not-loaded
            pallet 1 -> STOP wrong-thing
            "Dora -> DONE
            """,
        )

    def test_what_is_loaded_after_the_check_needs_another(self):
        floor = self.loaded(driver_check=2)
        floor.play(DOCK, 'DRIVER | "Dora | pallet 1 | carton 2 -> DONE')
        floor.play(DOCK, 'UNLOAD | carton 2 | "too heavy -> DONE\nDEPART -> STOP no-driver-check')
        floor.play(DOCK, 'DRIVER | "Dora | pallet 1 | DEPART -> DONE')


class TestAPalletIsCounted:
    def test_as_many_as_the_system_shows(self, accepted):
        accepted.play(
            DOCK,
            f"""
            COUNT -> NEXT; Scan what you counted: pallet, carton, spindle, or the lot card for discs at the press without a spindle.
            pallet 9 -> STOP unknown-code
            pallet 1 -> NEXT
            "two -> STOP wrong-thing
            #2 -> DONE; Pallet {n("pallet 1")} holds 2 cartons, as the system shows.
            """,
        )
        assert accepted.read("hold") == []

    def test_one_that_differs_is_on_hold_and_does_not_leave(self, accepted):
        accepted.play(
            DOCK,
            f"""
            COUNT | pallet 1 | #1 -> STOP count-differs; Pallet {n("pallet 1")} holds 1 carton; the system shows 2: 1 missing. Count again; tell quality. The pallet is on hold ({n("H1")}): scan each carton on it to see where the system shows it.
            SHIP | O1 -> DONE
            pallet 1 -> STOP on-hold
            COUNT | pallet 1 | #3 -> STOP count-differs; Pallet {n("pallet 1")} holds 3 cartons; the system shows 2: 1 too many. Count again; tell quality.
            """,
        )
        assert accepted.count("hold") == 1
        assert accepted.count("finding", finding="count-differs") == 2
        accepted.play(LAB, 'LIFT | pallet 1 | "the carton stood behind it | P2 -> DONE')
        accepted.play(DOCK, "COUNT | pallet 1 | #2 | pallet 1 -> DONE")

    def test_cartons_and_spindles_are_counted_there_too(self, accepted):
        accepted.play(DOCK, "COUNT | carton 1 | #2 | COUNT | K12 | #10 -> DONE")
