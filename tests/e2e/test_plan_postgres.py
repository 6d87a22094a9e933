"""Changes of the plant on PostgreSQL: judged, refused in part without losing the rest, told at the stations."""

import pytest
from support_cli import write_plant_file
from support_judged import judged
from support_pins import rebuilds
from support_plant import LINE, code, gtin

from tracelink.errors import UsageError
from tracelink.services import searching
from tracelink.services.badge_proof import Badge
from tracelink.services.upkeep import plant_files
from tracelink.services.upkeep.plant_files import PlannedBy

ADA, BEN = code("P", 1), code("P", 2)


def test_a_plant_changes(pg_plant, tmp_path):
    floor = pg_plant
    who = PlannedBy(Badge(ADA), Badge(BEN), "december")
    wrong = {
        "location": [{"code": code("Y", 1), "name": "rack 1"}],
        "changed_setting": [{"name": "rest_minutes", "value": 0}],
        "order": [
            {"code": code("O", 9), "consignee": "Shop", "country": "DE", "gtin": gtin(9), "quantity": 1}
        ],
    }
    before = floor.ledger.head()
    with pytest.raises(UsageError) as caught:
        plant_files.add(floor.ledger, write_plant_file(tmp_path / "wrong.toml", wrong), who)
    told = str(caught.value).splitlines()
    assert told[0].startswith("3 faults in plant file")
    assert [line.partition(": ")[0] for line in told[1:-1]] == ["line 1", "line 4", "line 7"]
    assert floor.ledger.head() == before
    good = {
        "changed_product": [{"gtin": gtin(1), "title": "Paper Comet Algebra", "carton_size": 2}],
        "withdrawn_badge": [{"badge": BEN}],
    }
    assert len(plant_files.add(floor.ledger, write_plant_file(tmp_path / "good.toml", good), who).lines) == 2
    floor.play(LINE, "P2 -> STOP badge-withdrawn")
    floor.play(LINE, "P1 -> DONE")
    floor.at = "2031-03-03T07:00:00+01:00"
    floor.play(LINE, "CLEAR -> STOP clock-back")
    with floor.ledger.reading() as conn:
        found = searching.search(conn, "Comet Algebra", 20)
    assert gtin(1) in [hit.code for hit in found.hits]
    rebuilds(floor)
    assert judged(floor).unforced is None
