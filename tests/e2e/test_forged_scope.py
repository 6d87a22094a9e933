"""A written scope, forged field by field and sealed anew, against the ledger that it was made from.

Whoever forges a scope can also make its digest anew: what stands in the file must fail against the records, unless it is
one of those things that `contain --check` says it takes from the file.
"""

import copy
import json
import random

import pytest
from support_campaign import tries
from support_cli import run
from support_plant import n, stamper
from support_two_cartons import ship_the_first, two_cartons

from runout import open_ledger
from tracelink.errors import LedgerError
from tracelink.genealogy.certificate.digest import DIGEST, digest_of

SCOPE = ("contain", stamper("EX-101-A"), "--shape", "from-onset", "--format", "json")
CHECKED = ("containers", "groups", "places", "together", "co_affected", "certificate", "head")
TAKEN = {"chance", "tight", "tiers", "pressed"}
"""Keys within those parts that are taken from the file, or that only widen what the file says it shows."""
PROOFS = {"parts", "prices", "assignments"}
"""Keys of proofs: one that was changed and still proves the same bound is a proof like the first."""


@pytest.fixture(scope="module")
def sent(tmp_path_factory):
    """Two cartons, one of them shipped to Shop 1 on a pallet, the other in the plant; and its scope."""
    floor = two_cartons()
    ship_the_first(floor)
    file = floor.saved(tmp_path_factory.mktemp("sent") / "runout.db")
    document = json.loads(run(*SCOPE, "--together", f"DE,{n('carton 2')}", ledger=file).out)
    return file, document


def refused(sent, document, tmp_path):
    """Seal a document anew, check it, and return why it is refused or not confirmed; empty if all of it is."""
    document[DIGEST] = digest_of(document)
    file = tmp_path / "forged.json"
    file.write_text(json.dumps(document))
    with open_ledger(sent[0], read_only=True) as ledger:
        try:
            found = ledger.scopes.check(file)
        except LedgerError as problem:
            return str(problem)
    return "; ".join(one.why for one in (*found.checks, *found.differences) if one.verdict != "confirmed")


def leaves(data, path=()):
    """Where the values of a document are, lists included."""
    if isinstance(data, dict | list):
        for key, value in data.items() if isinstance(data, dict) else enumerate(data):
            if key not in TAKEN | PROOFS:
                yield (*path, key)
                yield from leaves(value, (*path, key))


def inner(document, path):
    for key in path:
        document = document[key]
    return document


def forged(rng, value):
    """Another value of the same kind."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + rng.choice([-1, 1, 7])
    if isinstance(value, str):
        return value[:-1] if value and rng.random() < 0.5 else value + "9"
    if isinstance(value, list) and value:
        other = list(value)
        other.pop(rng.randrange(len(other)))
        return other
    return "9" if value is None else None


class TestForgeries:
    def test_the_scope_itself_is_confirmed(self, sent, tmp_path):
        assert not refused(sent, copy.deepcopy(sent[1]), tmp_path)
        out = run("contain", "--check", tmp_path / "forged.json", ledger=sent[0]).out
        assert "consignees are those of the records." in out
        assert "Taken from the file and not checked: the question, tiers" in out

    def test_swapped_names_and_rows_left_out_are_told(self, sent, tmp_path):
        """The numbers are right in each of them."""
        _, good = sent
        swapped = json.loads(json.dumps(good).replace('"Shop 1"', '"Shop 2"'))
        assert "expected Shop 1, the scope says Shop 2" in refused(sent, swapped, tmp_path)
        for part, code in (("containers", n("carton 1")), ("containers", n("carton 2")), ("groups", n("O1"))):
            document = copy.deepcopy(good)
            document[part] = [row for row in document[part] if row["code"] != code]
            document["certificate"]["bounds"] = [
                row for row in document["certificate"]["bounds"] if row["code"] != code
            ]
            assert "leaves it out" in refused(sent, document, tmp_path), code
        nothing = copy.deepcopy(good)
        nothing["containers"] = nothing["groups"] = []
        nothing["certificate"]["bounds"] = [
            row for row in nothing["certificate"]["bounds"] if row["kind"] == "place"
        ]
        assert "leaves it out" in refused(sent, nothing, tmp_path)
        untold = copy.deepcopy(good)
        untold["places"] = [row for row in untold["places"] if row["place"] != "total"]
        assert refused(sent, untold, tmp_path) == "the scope leaves it out"

    def test_a_row_that_stands_twice_is_told(self, sent, tmp_path):
        document = copy.deepcopy(sent[1])
        document["containers"].append(document["containers"][0])
        assert "stands in the scope twice; expected one row of each" in refused(sent, document, tmp_path)

    def test_a_set_by_another_name_is_told(self, sent, tmp_path):
        document = json.loads(json.dumps(sent[1]).replace('"DE"', '"FR"').replace('"DE,', '"FR,'))
        assert "no container of the scope belongs to it" in refused(sent, document, tmp_path)

    def test_no_field_can_be_forged(self, sent, tmp_path):
        """Any one value of the parts that are checked, changed by chance; a seed tells which."""
        rng = random.Random(20)
        _, good = sent
        paths = [(part, *path) for part in CHECKED for path in [(), *leaves(good[part])]]
        passed = []
        for path in rng.choices(paths, k=tries(25)):
            document = copy.deepcopy(good)
            holder = inner(document, path[:-1])
            holder[path[-1]] = forged(rng, holder[path[-1]])
            if not refused(sent, document, tmp_path):
                passed.append((path, holder[path[-1]]))
        assert not passed
