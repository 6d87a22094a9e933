"""How a page says what is typed into its field, over every sentence of the stations that asks for a text."""

import ast
from pathlib import Path

import pytest

import tracelink.station.sentences
from tracelink.errors import IdentifierError
from tracelink.identity.reading import read_scan
from tracelink.station.sentences import line_carton_sentences, return_sentences
from tracelink.web.station.field_words import for_field


def written():
    """Every text that is written out in the sentences of the stations, a gap of one filled in."""
    for path in Path(tracelink.station.sentences.__file__).parent.rglob("*.py"):
        found = [*ast.walk(ast.parse(path.read_text(encoding="utf-8")))]
        with_gaps = [node for node in found if isinstance(node, ast.JoinedStr)]
        parts = {id(part) for node in with_gaps for part in node.values}
        yield from (
            "".join(part.value if isinstance(part, ast.Constant) else "EX-101-A1" for part in node.values)
            for node in with_gaps
        )
        yield from (
            node.value
            for node in found
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in parts
        )


def test_no_sentence_asks_for_the_quote_that_the_field_puts_there():
    asking = [each for each in written() if 'ype " and then ' in each]
    assert len(asking) > 30
    left = [told for each in asking if '"' in (told := for_field(each))]
    assert left == []


@pytest.mark.parametrize(
    ("sentence", "told"),
    [
        (line_carton_sentences.TYPE_THE_REASON_SUCH_AS, "Type the reason, such as corner crushed."),
        (
            'Key the stroke; if it is not known, type "unknown.',
            "Key the stroke; if it is not known, type unknown.",
        ),
        (
            'Type " and then where, such as "C12, or "- if nobody knows.',
            "Type where, such as C12, or - if nobody knows.",
        ),
        (
            'You scanned "Moth Parliament" or "Paper Comet". Type " and then the reason.',
            'You scanned "Moth Parliament" or "Paper Comet". Type the reason.',
        ),
        ('Lot by lot if you can: "L000001S=3 L000005K=2.', "Lot by lot if you can: L000001S=3 L000005K=2."),
        (return_sentences.KEY_THE_RETURN, return_sentences.KEY_THE_RETURN),
    ],
)
def test_quotes_of_titles_stay(sentence, told):
    assert for_field(sentence) == told


def test_what_was_keyed_without_the_field_is_told_of_as_it_is_keyed():
    with pytest.raises(IdentifierError) as refused:
        read_scan("corner crushed")
    assert 'type "corner crushed.' in for_field(str(refused.value))
