"""Texts as every database takes them, and as they were given."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tracelink.store.database.columns import given_text, server_text


@given(st.text(alphabet="\0\ufffe01a"))
@example("\ufffe0")
@example("\0\ufffe1\0")
def test_any_text_comes_back_and_holds_no_zero_character(text):
    kept = server_text(text)
    assert "\0" not in kept
    assert given_text(kept) == text


@pytest.mark.parametrize("text", ["", "]C0K000041C", "\x1d", "\uffff"])
def test_a_text_without_one_is_kept_as_it_is(text):
    assert server_text(text) == given_text(text) == text
