"""What is drawn, before it is dots or a page: bars and words in whole dots of the printer.

One drawing makes the picture that is proven and the page that is printed, so that what was proven is what is
printed, bar for bar.
"""

from dataclasses import dataclass

from PIL import Image, ImageDraw

from tracelink.printing.lettering import TextLine, write_words
from tracelink.printing.sizes import SizeRule


@dataclass(frozen=True, slots=True)
class Bar:
    """A black rectangle, in dots."""

    left: int
    top: int
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Extent:
    """Where in a drawing a symbol is, quiet zones not counted, in dots."""

    rule: SizeRule
    """What its standard asks of it."""
    module: int
    """Width of its narrowest bar, or side of its modules."""
    left: int
    top: int
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Drawing:
    """A part of a label."""

    width: int
    """Dots across, white space included."""
    height: int
    """Dots down."""
    bars: tuple[Bar, ...] = ()
    words: tuple[TextLine, ...] = ()
    symbol: Extent | None = None
    """The symbol that the bars make up; None if they are no symbol."""

    def image(self) -> Image.Image:
        """Return the drawing alone, as a 1-bit picture."""
        alone = Image.new("1", (self.width, self.height), 1)
        self.put_on(alone, 0, 0)
        return alone

    def put_on(self, image: Image.Image, left: int, top: int) -> None:
        """Draw on a 1-bit picture, with the drawing's corner at (left, top)."""
        pen = ImageDraw.Draw(image)
        for bar in self.bars:
            x, y = left + bar.left, top + bar.top
            pen.rectangle((x, y, x + bar.width - 1, y + bar.height - 1), fill=0)
        for words in self.words:
            write_words(image, words, left, top)
