"""Entries stored as the programs did that had schema 0039 to 0042: today's program reads that form, and no more writes it."""

import re
from datetime import datetime

from tracelink.store.compact import entry_form
from tracelink.store.compact.entry_form import stored_form
from tracelink.store.compact.few_bytes import deflate, put

TIMES = re.compile(r'"(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d)"')


def older_form(canonical: bytes) -> bytes:
    """Return what these programs stored of an entry; a plain one stays plain."""
    stored = stored_form(canonical)
    short = entry_form.read_form(stored)
    if short is None:
        return canonical
    found = short.parts
    seconds = int(datetime.fromisoformat(found.event_time).timestamp())

    def ago(match):
        if match[1][-6:] != found.event_time[-6:]:
            return match[0]
        return f'"\x02{seconds - int(datetime.fromisoformat(match[1]).timestamp())}"'

    corrects, reason = ("" if each == "null" else each for each in (found.corrects, found.reason))
    text = "\n".join((corrects, reason, found.kind, TIMES.sub(ago, found.body)))
    number = -1 if found.station_seq == "null" else int(found.station_seq)
    lag = int(datetime.fromisoformat(found.recorded_at).timestamp()) - seconds
    head = bytes((entry_form.OLDER_FORM,)) + stored[1:20]
    return head + put((int(found.seq), number, lag)) + deflate(text.encode("ascii"), "entry_words_1.txt")
