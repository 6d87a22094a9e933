"""COMPARE and STUDY at the bench: people and a gauge compared on the same discs, without judging any."""

import json

import pytest
from support_cli import run
from support_lab import add_to, lab_floor
from support_plant import LAB, code, n

from tracelink.errors import UsageError
from tracelink.services.desks.agreement_files import gauge_studied, inspectors_compared
from tracelink.store.stations.judge_again import judge_again

READ = {
    "P1": {"S1": ("-57.2", "-57.0"), "S2": ("-52.1", "-52.3")},
    "P9": {"S1": ("-57.1", "-57.1"), "S2": ("-52.0", "-52.2")},
}


@pytest.fixture(scope="module")
def floor():
    made = lab_floor()
    add_to(made, {"person": [{"code": code("P", 9), "name": "Dana", "roles": ["lab"]}]})
    made.play(
        LAB,
        f"""
        COMPARE | S1 -> NEXT; Type " and then good, or the name of the defect.
        "good -> DONE; Sample {n("S1")} is good by Ada: kept for the comparison; it judges no disc.
        COMPARE -> NEXT
        S1 -> STOP already-judged; Ada compared sample {n("S1")} before: one verdict of each person counts. Take the next disc.
        S2 | "Crackle -> DONE
        P9 | COMPARE | S2 | "crackle | COMPARE | S1 | "crackle -> DONE
        STUDY | S1 | "mass=141.2 kg -> STOP wrong-unit
        CANCEL -> DONE
        """,
    )
    for person, discs in READ.items():
        made.scan(LAB, person)
        for sample, values in discs.items():
            for value in values:
                told = made.scan(LAB, "STUDY", sample, f'"noise={value} dB', '"a', "G1")
                assert told.sentence == (
                    f"Sample {n(sample)}: noise {value} dB on side A, read for the study of gauge {n('G1')}; "
                    "it is no result of the disc."
                )
    return made


def test_no_disc_is_judged_or_measured_by_it(floor):
    assert floor.count("judgement") == floor.count("lab_result") == 0
    with floor.ledger.reading() as conn:
        assert judge_again(conn).unforced is None


def test_two_inspectors_are_compared(floor):
    with floor.ledger.reading() as conn:
        found = inspectors_compared(conn)
        assert found == inspectors_compared(conn, (n("P9"), n("P1")))
        with pytest.raises(UsageError, match="1 person judged these discs: expected two"):
            inspectors_compared(conn, (n("P1"), n("P3")))
    assert (found.people, found.verdicts, found.table) == (
        (n("P1"), n("P9")),
        ("crackle", "good"),
        ((1, 0), (1, 0)),
    )


def test_what_was_read_is_the_study_that_a_file_of_it_would_be(floor, tmp_path):
    lines = [
        f"{n(s)} A,{n(p)},{value}"
        for p, discs in READ.items()
        for s, values in discs.items()
        for value in values
    ]
    (tmp_path / "readings.csv").write_text("\n".join(["disc,person,value", *lines]))
    by_file = run("gauge-study", str(tmp_path / "readings.csv"), "--tolerance", "6", "--format", "json")
    with floor.ledger.reading() as conn:
        found = gauge_studied(conn, n("G1"), "noise", 6)
        with pytest.raises(UsageError, match="no reading of mass with gauge"):
            gauge_studied(conn, n("G2"), "mass")
    assert json.loads(json.dumps(found.to_dict())) == json.loads(by_file.out)


def test_commands_take_the_bench_or_a_file(floor, tmp_path):
    place = floor.saved(tmp_path / "plant.db")
    assert "They agree on 1 of 2 discs." in run("agreement", ledger=place).out
    assert run("agreement", "x.csv", "--people", n("P1"), n("P9"), ledger=place).code == 2
    assert run("gauge-study", "--gauge", n("G1"), "--test", "noise", ledger=place).code == 0
    for words in (
        (),
        ("--gauge", n("G1")),
        ("x.csv", "--gauge", n("G1"), "--test", "noise"),
        ("x.csv", "--test", "noise"),
    ):
        done = run("gauge-study", *words, ledger=place)
        assert (done.code, "expected FILE, or --gauge and --test" in done.err) == (2, True)
    assert run("rebuild", ledger=place).code == 0
