"""What a station's sentence asks to be typed, said where a page has a field for it.

At a keyboard a text begins with a double quote; the field of a page puts it there by itself. Only how a screen says it
hangs on this: what is booked and stopped never looks at a sentence.
"""

import re

_AND_THEN = re.compile(r'\b([Tt])ype " and then ')
_EXAMPLE = re.compile(
    # A line that was keyed without any field is told of as it is keyed.
    r'(?<!before it: )\b((?:such as|or|type|if you can:) )"(?=[^"\s])'
    # A text in quotes has a second one behind it.
    r'(?![^"]*"(?:[\s.,;:!?)]|$))'
)


def for_field(sentence: str) -> str:
    """Return a sentence as a page with a field for texts says it.

    Args:
        sentence: any; of `Type " and then the reason, such as "torn.` the quotes go, those around a title stay.
    """
    return _EXAMPLE.sub(r"\1", _AND_THEN.sub(r"\1ype ", sentence))
