"""Text on labels: its size, its lines, its characters."""

import pytest
from PIL import Image, ImageDraw, ImageFont
from support_each import each

from tracelink.errors import UsageError
from tracelink.printing.lettering import FACE, Lettering, require_printable, write_words


def ink(lettering, text):
    """Draw one line at [10, 0] and return the box of its black dots."""
    image = Image.new("1", (lettering.width(text) + 40, lettering.line_dots), 1)
    write_words(image, lettering.words(text, 10, 0), 0, 0)
    return image.convert("L").point(lambda value: 255 - value).getbbox()


@each("dpi", [203, 300, 600])
@each("letter_mm", [2.0, 3.0, 7.0, 12.0])
def test_a_capital_is_as_high_as_asked_for(letter_mm, dpi):
    _, top, _, bottom = ink(Lettering(letter_mm, dpi), "H")
    assert bottom - top == pytest.approx(letter_mm * dpi / 25.4, abs=1.01)


@pytest.mark.parametrize("text", ["É", "Å", "jpqgy", "|", "Ç"])
def test_a_line_has_room_for_accents_and_descenders(text):
    lettering = Lettering(7.0, 300)
    _, top, _, bottom = ink(lettering, text)
    assert top > 0
    assert bottom < lettering.line_dots


def test_the_width_is_that_of_the_ink():
    lettering = Lettering(4.0, 203)
    text = "Black compound, silo 2"
    left, _, right, _ = ink(lettering, text)
    assert 0 <= right - 10 <= lettering.width(text)
    assert right - left > lettering.width(text) * 0.95


@each("dpi", [203, 300])
@each("letter_mm", [1.7, 3.0, 7.0, 12.0])
@each("text", ["SSCC 195200000000047112", "(00)1 9520000 004711 2", "gypsy_|~ fi", "Grüße, Łódź", "e\u0301n"])
def test_letters_put_together_are_the_line_that_the_type_library_draws(text, letter_mm, dpi):
    words = Lettering(letter_mm, dpi).words(text, 10, 0)
    ours = Image.new("1", (words.width + 40, 2 * words.baseline), 1)
    write_words(ours, words, 0, 0)
    theirs = Image.new("1", ours.size, 1)
    face = ImageFont.truetype(str(FACE), words.size)
    ImageDraw.Draw(theirs).text((10, words.baseline), text, font=face, fill=0, anchor="ls")
    assert ours.tobytes() == theirs.tobytes()


@pytest.mark.parametrize("dpi", [203, 300, 600])
@pytest.mark.parametrize("letter_mm", [1.7, 2.5, 4.0, 7.0])
def test_no_line_is_wider_than_its_room(letter_mm, dpi):
    lettering = Lettering(letter_mm, dpi)
    for room in range(lettering.width("0"), lettering.width("0" * 60), 7):
        lines = lettering.wrap("one two three four five six seven " * 3, room, 200)
        assert lines is None or all(lettering.width(line) <= room for line in lines)


def test_text_breaks_at_spaces():
    lettering = Lettering(4.0, 300)
    assert lettering.wrap("Pale Windmills at Nine", lettering.width("0" * 14), 3) == [
        "Pale Windmills",
        "at Nine",
    ]


def test_a_word_is_never_broken():
    lettering = Lettering(4.0, 300)
    assert lettering.wrap("T000064U", lettering.width("0" * 7), 5) is None


def test_a_text_too_long_does_not_fit():
    lettering = Lettering(4.0, 300)
    assert lettering.wrap("Pale Windmills at Nine", lettering.width("0" * 14), 1) is None
    assert lettering.wrap("H", 1, 1) is None


def test_a_shortened_text_says_so():
    lettering = Lettering(4.0, 300)
    room = lettering.width("0" * 14)
    assert lettering.shorten("Pale Windmills at Nine", room, 1) == ["Pale Windmi..."]
    assert lettering.shorten("Pale Windmills", room, 1) == ["Pale Windmills"]
    assert lettering.shorten("Unbreakableword", room, 1) == ["Unbreakable..."]
    assert lettering.shorten("Pale", 1, 1) is None


@pytest.mark.parametrize("text", ["Pale Windmills", "Grüße, Łódź", "Ω Ж", "a-b_c/d"])
def test_a_text_of_known_characters_can_be_printed(text):
    require_printable(text, "Label card")


def test_a_character_without_glyph_is_named():
    with pytest.raises(UsageError) as caught:
        require_printable("Tide 潮", "Label card")
    assert (
        str(caught.value)
        == "Label card: 'Tide 潮' cannot be printed: the labels' type has no character '潮'."
    )
