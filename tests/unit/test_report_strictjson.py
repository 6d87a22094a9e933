"""JSON from strangers means one thing or is refused with a sentence."""

import pytest
from support_each import each

from tracelink.errors import UsageError
from tracelink.report.format.strictjson import (
    DEEPEST,
    LARGEST_BYTES,
    LARGEST_INTEGER,
    LONGEST_TEXT,
    Exact,
    read_json,
)


def read(text):
    return read_json(text.encode("utf-8", errors="surrogatepass"), "x.json")


def test_what_is_right_is_read_as_written():
    found = read('\ufeff{"a": [1, 71.50, -3, 1e2, true, null, "\\ud83c\\udfb5"], "b": {}}')
    assert found == {"a": [1, 71.5, -3, 100.0, True, None, "\U0001f3b5"], "b": {}}
    assert [number.written for number in found["a"] if isinstance(number, Exact)] == ["71.50", "1e2"]
    assert read(f"[{LARGEST_INTEGER}]") == [LARGEST_INTEGER]
    assert read("[" * (DEEPEST - 1) + "1" + "]" * (DEEPEST - 1))
    assert read(f'"{"x" * LONGEST_TEXT}"')


@each(
    ("text", "sentence"),
    [
        ('{"a": 1, "a": 1}', "the key 'a' stands twice in one object"),
        ('[{"b": {"c": 1, "d": 2, "c": 3}}]', "the key 'c' stands twice in one object"),
        ("[NaN]", "NaN is not a JSON number"),
        ("[-Infinity]", "-Infinity is not a JSON number"),
        ("[1e999]", "the number 1e999... is too long or too large"),
        ("[0." + "1" * 60 + "]", "the number 0.111111111111111111... is too long or too large"),
        (f"[{LARGEST_INTEGER + 1}]", "is too large: expected at most 9007199254740991"),
        ("[" + "9" * 100_000 + "]", "is too large"),
        ("[" * (DEEPEST + 1) + "]" * (DEEPEST + 1), "nested too deep: expected at most 40 levels"),
        ("[" * 100_000, "nested too deep"),
        ('{"a":' * 100_000, "nested too deep"),
        ('["\\ud800"]', "half of a surrogate pair"),
        ('{"\\udfff": 1}', "half of a surrogate pair"),
        ('["\\u0000"]', "the character U+0000"),
        (f'["{"x" * (LONGEST_TEXT + 1)}"]', "a text has 4001 characters: expected at most 4000"),
        ("", "no JSON: Expecting value in line 1, column 1"),
        ("{'a': 1}", "no JSON: Expecting property name"),
        ("[1] [2]", "no JSON: Extra data"),
        ('["a\tb"]', "no JSON: Invalid control character"),
    ],
)
def test_what_two_readers_may_take_for_two_things_is_refused(text, sentence):
    with pytest.raises(UsageError) as refused:
        read(text)
    assert str(refused.value).startswith("x.json")
    assert sentence in str(refused.value)


def test_what_is_no_text_or_too_long_is_refused():
    with pytest.raises(UsageError, match="byte 1 cannot be read"):
        read_json(b"[\xff]", "x.json")
    with pytest.raises(UsageError, match="expected at most 16777216"):
        read_json(b" " * (LARGEST_BYTES + 1), "x.json")
