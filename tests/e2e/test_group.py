"""Two plants and their group on three PostgreSQL servers: a stamper grown in one is pressed with in the other, pallets go there.

The plants are those of the other tests; the second has other blocks of SSCCs and another domain.
"""

import json
import re
import time

import psycopg
import pytest
from support_cases import ADA, CAUSE, shipped
from support_cli import run
from support_partners import event, written
from support_plant import LAB, PRESS, START, TOOL, Floor, code, pallet_sscc, plant_data, stamper
from support_plantfile import read_plant_file
from support_server import server

from runout import ContainmentQuery, PlantGroup, PlantLink, Shape, copy_ledger, open_ledger
from tracelink.cli.guide import FOLDER
from tracelink.identity.gs1.digitallink import write_link
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.setup import DomainNamed
from tracelink.report.epcis.names import Names
from tracelink.store.group.group_database import GroupDatabase
from tracelink.store.journal.verify import examine
from tracelink.store.ledger import Ledger, utc_now

DOMAIN = "id.north.example.com"
HERE = code("T", 900)
"""The tag that the stamper of the north got in the south."""
[SETTING_UP] = re.findall(r"```sql\n(.*?)```", (FOLDER / "group.md").read_text(encoding="utf-8"), re.DOTALL)
PATIENCE_S = 60


def north(folder):
    """Lot 1 is pressed and shipped as in the tests of cases."""
    floor = shipped()
    with floor.ledger.writing() as booking:
        booking.record(DomainNamed(DOMAIN), Stamp(START, utc_now()))
    file = floor.saved(folder / "north.db")
    floor.ledger.close()
    return file


def south(folder):
    """Presses a lot with the stamper that came from the north, and takes in a pallet of the north."""
    data = plant_data()
    data["plant"]["name"] = "Invented Pressing, South"
    data["sscc"] = [block | {"extension": str(2 + n)} for n, block in enumerate(data["sscc"])]
    ledger = Ledger.create("sqlite://")
    with ledger.writing() as booking:
        for body in read_plant_file(data, new_ledger=True):
            booking.record(body, Stamp(START, utc_now()))
    floor = Floor(ledger)
    floor.scan(TOOL, "P1", "LACQUER", "T11", '"B', '"EX-101-B', "GROW", "T11", "T12", "GROW", "T12", "T13")
    floor.scan(TOOL, "GROW", "T13", "T14")
    file = floor.saved(folder / "south.db")
    floor.ledger.close()

    # As the north's own export names it and says it.
    name = Names(DOMAIN, {}).thing(CAUSE)
    grown = event(
        1,
        type="TransformationEvent",
        inputEPCList=[Names(DOMAIN, {}).thing(code("T", 3))],
        outputEPCList=[name],
        bizStep="commissioning",
        ilmd={"m:toolKind": "stamper", "m:side": "A", "m:matrix": "EX-101-A"},
    )
    pallet = write_link({"00": pallet_sscc(1)})
    came = event(2, bizStep="receiving", epcList=[pallet])
    # What is made of something else has no action, and is named by itself.
    del grown["action"], grown["quantityList"]
    document = written(folder / "from-north.jsonld", grown, came)
    taken = run(
        "audit",
        "import",
        document,
        "--by",
        ADA,
        "--as",
        f"{name}={HERE}",
        "--as",
        f"{pallet}={pallet_sscc(1)}",
        ledger=file,
    )
    assert taken.code == 0, taken
    floor = Floor(Ledger.open(str(file)))
    floor.scan(PRESS, "P1", "SETUP", "L1", HERE, stamper("EX-101-B"), "C1", "E1", "E2")
    floor.scan(PRESS, "START", '"EX-101-A', '"EX-101-B', "STACK", "K11", "#10", "STOP", "#12")
    assert [verdict for verdict in floor.verdicts if verdict.finding] == []
    floor.ledger.close()
    return file


class Grouped:
    """The plants by name, and their group."""

    def __init__(self, plants, here):
        self.plants = plants
        self.here = PlantGroup(here)
        self.place = here

    def head(self, plant):
        with open_ledger(self.plants[plant], read_only=True) as ledger:
            return ledger.head

    def copy_place(self, plant):
        return GroupDatabase(self.place).plant_url(plant)

    def standing(self, plant):
        return next(one for one in self.here.standings() if one.plant == plant)

    def until(self, plant, told):
        until = time.monotonic() + PATIENCE_S
        while not told(standing := self.standing(plant)):
            assert time.monotonic() < until, standing
            time.sleep(0.05)

    def take(self):
        """Wait for all that the plants wrote, and take it."""
        for plant in self.plants:
            seq, _ = self.head(plant)
            self.until(
                plant,
                lambda now, seq=seq: (
                    now.link is not PlantLink.FIRST_COPY and now.head.seq + now.waiting >= seq
                ),
            )
        return {one.plant: one for one in self.here.take()}


@pytest.fixture(scope="module")
def servers(pg_running):
    with server("wal_level=logical") as first, server("wal_level=logical") as second:
        yield first, second, pg_running


@pytest.fixture(scope="module")
def grouped(servers, tmp_path_factory):
    folder = tmp_path_factory.mktemp("group")
    first, second, here = servers
    plants = {"north": first.database(), "south": second.database()}
    copy_ledger(north(folder), plants["north"])
    copy_ledger(south(folder), plants["south"])
    made = Grouped(plants, here.database())
    # The north by the login that the guide makes for it.
    with psycopg.connect(plants["north"].replace("+psycopg", ""), autocommit=True) as conn:
        for statement in filter(str.strip, SETTING_UP.split(";\n")):
            conn.execute(statement)
    sources = plants | {"north": plants["north"].replace("app@", "follower@")}
    for plant, place in plants.items():
        published = run("group", "publish", ledger=place)
        assert (published.code, published.out) == (0, "The journal is published.\n"), published
        added = run("group", "add", plant, sources[plant], ledger=made.place)
        assert added.code == 0, added
    made.take()
    yield made
    # The servers of the plants go first else, and a subscription holds its database.
    with psycopg.connect(made.place.replace("+psycopg", ""), autocommit=True) as conn:
        for plant in plants:
            conn.execute(f"ALTER SUBSCRIPTION runout_{plant} DISABLE")
            conn.execute(f"ALTER SUBSCRIPTION runout_{plant} SET (slot_name = NONE)")
            conn.execute(f"DROP SUBSCRIPTION runout_{plant}")


def copy_of(grouped, plant):
    return Ledger.open(grouped.copy_place(plant), read_only=True)


def test_each_copy_is_the_ledger_of_its_plant(grouped):
    for plant in grouped.plants:
        with copy_of(grouped, plant) as ledger, ledger.reading() as conn:
            assert (ledger.head().seq, ledger.head().hash) == grouped.head(plant)
            assert examine(conn).faults == []


def test_a_stamper_is_followed_from_the_plant_that_grew_it_into_the_one_that_pressed_with_it(grouped):
    ahead = grouped.here.trace(f"north:{CAUSE}", back=False).trace.forward
    lots = {node.code for node in ahead.nodes if node.kind == "lot"}
    assert lots == {f"north:{code('L', 1)}", f"south:{code('L', 1)}"}
    # Asked in the south, by its tag there, it is the same thing.
    assert grouped.here.trace(f"south:{HERE}", back=False).trace.forward == ahead
    # And the discs of the south come from the lacquer of the north.
    back = grouped.here.trace(f"south:{code('L', 1)}", forward=False).trace.back
    made = {node.code: node.kind for node in back.nodes}
    assert made[f"north:{CAUSE}"] == "stamper"
    assert made[f"north:{code('T', 1)}"] == "lacquer"
    assert made[f"south:{stamper('EX-101-B')}"] == "stamper"


def test_a_bad_stamper_is_contained_in_both_plants_along_its_one_life(grouped):
    """The north pressed 20 strokes with it, of which 3 was good and 19 bad; the 12 of the south came after them."""
    found = grouped.here.contain(ContainmentQuery(f"south:{HERE}", Shape.FROM_ONSET))
    tiers = {(tier.lot, tier.name.value): str(tier.strokes) for tier in found.scope.tiers}
    assert tiers == {
        (f"north:{code('L', 1)}", "cleared"): "1-3",
        (f"north:{code('L', 1)}", "possible"): "4-18",
        (f"north:{code('L', 1)}", "proven"): "19-20",
        (f"south:{code('L', 1)}", "proven"): "1-12",
    }
    # Exit code and words of the command; the places of both plants add up.
    told = run("group", "contain", f"north:{CAUSE}", "--shape", "from-onset", ledger=grouped.place)
    assert told.code == 1, told
    assert "Records of north up to entry" in told.out
    words = ("group", "contain", f"north:{CAUSE}", "--shape", "from-onset", "--format", "json")
    data = json.loads(run(*words, ledger=grouped.place).out)
    assert [plant["plant"] for plant in data["plants"]] == ["north", "south"]
    assert {held["lot"] for held in data["containers"]} == {f"north:{code('L', 1)}", f"south:{code('L', 1)}"}


def test_a_plant_alone_finds_what_it_finds_in_the_group(grouped):
    """The same code answers: the north's part of the scope is that of the north's own ledger."""
    asked = ContainmentQuery(f"north:{CAUSE}", Shape.FROM_ONSET)
    together = grouped.here.contain(asked).scope
    with open_ledger(grouped.plants["north"], read_only=True) as ledger:
        alone = ledger.contain(ContainmentQuery(CAUSE, Shape.FROM_ONSET)).scope
    ours = [held for held in together.containers if held.lot.startswith("north:")]
    assert [(held.code, held.lot, held.least, held.most) for held in ours] == [
        (
            held.code if held.code.isalpha() else f"north:{held.code}",
            f"north:{held.lot}",
            held.least,
            held.most,
        )
        for held in alone.containers
    ]


def test_a_pallet_is_found_where_it_was_packed_and_where_it_came_in(grouped):
    found = grouped.here.find(pallet_sscc(1)).to_dict()
    assert [(row["plant"], row["state"]) for row in found] == [("north", "shipped"), ("south", "came in")]
    ahead = grouped.here.trace(f"north:{code('L', 1)}", back=False).trace.forward
    [pallet] = [node for node in ahead.nodes if node.code == f"north:{pallet_sscc(1)}"]
    assert "came in at south" in dict(pallet.facts)["detail"]


def test_a_code_of_several_plants_has_to_be_said_with_one(grouped):
    asked = run("group", "trace", code("L", 1), ledger=grouped.place)
    assert asked.code == 2
    assert f"say which of north:{code('L', 1)}, south:{code('L', 1)}" in asked.err
    unknown = run("group", "trace", code("L", 77), ledger=grouped.place)
    assert (unknown.code, unknown.err) == (
        2,
        f"runout: {code('L', 77)!r} is not in the records of north, south\n",
    )
    within = run("group", "contain", f"north:{ADA}", "--shape", "whole-life", ledger=grouped.place)
    assert within.code == 2
    assert "is asked of its plant" in within.err


def test_a_copy_is_only_read(grouped):
    with (
        Ledger.open(grouped.copy_place("north")) as ledger,
        pytest.raises(Exception, match="only read"),
    ):
        ledger.scan(LAB, "]C0" + ADA, START)


def test_a_plant_that_goes_down_is_told_and_catches_up(grouped, servers):
    grouped.take()
    _, second, _ = servers
    second.stop()
    grouped.until("south", lambda now: now.link is PlantLink.AWAY)
    down = run("group", "status", ledger=grouped.place)
    assert down.code == 1
    assert "south: nothing comes from its server now" in down.err
    # Questions are answered all the while, up to what was taken.
    assert grouped.here.trace(f"south:{code('L', 1)}").trace.back is not None
    second.start()
    with Ledger.open(grouped.plants["south"]) as ledger:
        Floor(ledger).scan(LAB, "P1", "SAMPLE", "L1", "S1", "#2", "K11", "GOOD", "S1")
    taken = grouped.take()
    assert taken["south"].entries > 0
    assert (taken["south"].head.seq, taken["south"].head.hash) == grouped.head("south")
    # The group, which is stopped and started: what it has not taken stays with the plant.
    with copy_of(grouped, "south") as ledger, ledger.reading() as conn:
        assert examine(conn).faults == []


def test_what_does_not_follow_stops_its_plant_alone(grouped):
    """An entry that somebody slipped in on the way is not taken, and nothing after it."""
    grouped.take()
    before = grouped.standing("north").head
    with psycopg.connect(grouped.place.replace("+psycopg", ""), autocommit=True) as conn:
        conn.execute(
            "INSERT INTO public.journal (plant, seq, hash, kind, stored) "
            "SELECT 'north', seq + 1, hash, kind, stored FROM plant_north.journal ORDER BY seq DESC LIMIT 1"
        )
        told = run("group", "take", ledger=grouped.place)
        assert told.code == 3
        assert "north: " in told.err
        assert grouped.standing("north").head == before
        assert grouped.standing("south").link is PlantLink.FOLLOWED
        # Taken away again, it goes on.
        conn.execute("DELETE FROM public.journal WHERE plant = 'north'")
    assert run("group", "take", ledger=grouped.place).code == 0
    # The same entry once more, as when a plant is added anew, is nothing new; another one in its place is told.
    with psycopg.connect(grouped.place.replace("+psycopg", ""), autocommit=True) as conn:
        again = "SELECT 'north', seq, {}, kind, stored FROM plant_north.journal WHERE seq = 5"
        put = "INSERT INTO public.journal (plant, seq, hash, kind, stored) "
        conn.execute(put + again.format("hash"))
        assert run("group", "take", ledger=grouped.place).code == 0
        conn.execute(put + again.format("decode(repeat('00', 32), 'hex')"))
        changed = run("group", "take", ledger=grouped.place)
        assert changed.code == 3
        assert "its journal is not the one that was followed" in changed.err
        conn.execute("DELETE FROM public.journal WHERE plant = 'north'")
    assert run("group", "take", ledger=grouped.place).code == 0


def test_what_cannot_be_is_said(grouped, pg_place, tmp_path):
    file = tmp_path / "plant.db"
    assert "is a file: a group needs a database" in run("group", "status", ledger=file).err
    again = run("group", "add", "north", grouped.plants["north"], ledger=grouped.place)
    assert (again.code, again.err) == (2, "runout: north is in this group already\n")
    named = run("group", "add", "North 1", grouped.plants["north"], ledger=grouped.place)
    assert "cannot name a plant" in named.err
    taken = run("group", "add", "east", grouped.plants["north"], ledger=grouped.plants["north"])
    assert taken.code == 2
    assert "a group needs a database of its own" in taken.err
    assert "no database of a group" in run("group", "take", ledger=pg_place).err
    # The server of the group does not keep what logical replication needs.
    publish = run("group", "publish", ledger=grouped.copy_place("north"))
    assert publish.code == 2
    assert "wal_level replica: expected logical" in publish.err


def test_a_group_of_an_older_program_is_told_what_to_do(pg_place):
    """Entries came as canonical bytes before they were stored in a shorter form."""
    with psycopg.connect(pg_place.replace("+psycopg", ""), autocommit=True) as conn:
        conn.execute("CREATE TABLE group_plant (plant text PRIMARY KEY, heard_at text, why text DEFAULT '')")
        conn.execute("CREATE TABLE journal (plant text, seq integer, hash text, kind text, canonical bytea)")
        conn.execute("INSERT INTO group_plant VALUES ('north'), ('south')")
    for words in (("take",), ("status",), ("add", "east", pg_place), ("find", pallet_sscc(1))):
        told = run("group", *words, ledger=pg_place)
        assert (told.code, told.out) == (2, ""), words
        assert "was made by an older program" in told.err
        assert (
            "for each plant (north, south): runout group add PLANT URL; then runout group take;" in told.err
        )
