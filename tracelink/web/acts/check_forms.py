"""Checks and exercises at the desk: the draw of cartons, and a drill that was held."""

from __future__ import annotations

from urllib.parse import urlencode

from runout import OpenLedger
from tracelink.facts.held_drill import DRAWN_FROM
from tracelink.ledger.count_words import counted, kind_words
from tracelink.web.acts.act_forms import ActDone, DeskAct, FormField, FormFieldKind, Given, Signatures


def _draw(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    drawn = ledger.warehouse.draw_cartons(given["of"], signed.by)
    told = f"{counted(drawn, 'carton')} drawn now." if drawn else "All cartons were drawn before."
    onward = f"/carton-check?{urlencode({'of': given['of']})}"
    return ActDone("Cartons drawn", (told,), ((onward, "Which to open"),))


def _record(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    found = ledger.drills.hold(given["what"], seed=int(given["seed"]))
    ledger.drills.record(found, signed.by)
    return ActDone(
        "The drill is recorded",
        (f"{kind_words(found.what).capitalize()} {found.subject}, drawn with seed {found.seed}.",),
        (("/drill", "All drills"),),
    )


ACTS = (
    DeskAct(
        "draw-cartons",
        "Draw cartons for a check",
        "Draw them",
        (FormField("of", "Pallet or lot", FormFieldKind.CODE, longest=40),),
        _draw,
        told="Which cartons is drawn once and kept: nobody can know or choose the draw. It needs the role dock or quality.",
    ),
    DeskAct(
        "record-drill",
        "Record a drill",
        "Record it",
        (
            FormField(
                "what",
                "What was drawn",
                FormFieldKind.CHOICE,
                choices=tuple((kind, kind_words(kind)) for kind in DRAWN_FROM),
            ),
            FormField("seed", "Seed of the draw", FormFieldKind.NUMBER),
        ),
        _record,
        told="It is held once more with this seed, and its times are those of then. It needs the role quality.",
    ),
)
"""Acts about checks and exercises."""
