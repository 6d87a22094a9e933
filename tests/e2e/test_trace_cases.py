"""The cases that `runout trace` tells of, on the played demo."""

import json

from support_demo import played_demo

from runout import open_ledger


def test_a_case_about_a_tool_counts_its_discs_with_and_without_their_lots_in_the_tree(tmp_path_factory):
    """Back from a tool no lot is shown; the case is about the same discs all the same."""
    demo = played_demo(tmp_path_factory)
    stamper = json.loads((demo / "story.json").read_text(encoding="utf-8"))["bad_stamper"]["code"]
    with open_ledger(demo / "runout.db", read_only=True) as ledger:
        back, whole = (ledger.trace(stamper, forward=forward).cases for forward in (False, True))
    assert back == whole
    assert [one.cause for one in back] == [stamper]
    assert min(back[0].proven, back[0].possible, back[0].cartons) > 0
