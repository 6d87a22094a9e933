"""The proof of many labels that are arranged alike: every symbol of every label, and each arrangement once as a whole.

Every label is measured, and each of its symbols is read by both readers on its own area. That nothing else on a label
can be read is proven on whole labels, and what else is on them is the same: lines, quiet zones, words. So one label
of each arrangement is read whole, and only what differs from it in numbers alone is not. A digit is no bar to any
reader; a word of other letters might be, and is looked at.
"""

import re
from dataclasses import replace

from PIL import Image

from tracelink.printing.drawing import Drawing
from tracelink.printing.label import Label
from tracelink.printing.label_proof import measure, prove_apart

_NUMBER = re.compile(r"[0-9]+[A-Z]?")
"""Digits, and the one letter behind them that the check character of a plant code may be."""


class BatchProof:
    """Proves the labels of a batch one after the other."""

    def __init__(self) -> None:
        self._whole: set[tuple[object, ...]] = set()
        self._paper = Image.new("1", (1, 1))

    def proven(self, label: Label) -> Image.Image:
        """Return the picture of a label after measuring it and reading it back; see `Label.proven`.

        Returns:
            The picture, until the next label is drawn on the same paper.

        Raises:
            LabelNotProven: a size, a quiet zone or what it says is not as it must be.
            UsageError: zbar is missing.
        """
        arrangement = _arrangement(label)
        if arrangement not in self._whole:
            image = label.proven()
            self._whole.add(arrangement)
            return image
        image = self._white(label)
        label.put_on(image)
        measure(image, label.parts, label.layout.name, label.dpi)
        prove_apart(image, label.parts, label.expected)
        return image

    def _white(self, label: Label) -> Image.Image:
        """Return white paper; taking new memory for each label takes as long as drawing it."""
        size = (label.width, label.height)
        if self._paper.size != size:
            self._paper = Image.new("1", size)
        self._paper.paste(1, (0, 0, *size))
        return self._paper


def _arrangement(label: Label) -> tuple[object, ...]:
    """Return what two labels have in common if they differ in numbers alone."""
    placed = ((part.left, part.top, _without_numbers(part.drawing)) for part in label.parts)
    return (label.width, label.height, *placed)


def _without_numbers(drawing: Drawing) -> Drawing:
    words = tuple(replace(line, text=_NUMBER.sub(_zeros, line.text)) for line in drawing.words)
    return replace(drawing, bars=() if drawing.symbol else drawing.bars, words=words)


def _zeros(number: re.Match[str]) -> str:
    return "0" * len(number[0])
