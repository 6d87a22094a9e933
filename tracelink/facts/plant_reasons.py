"""The plant's reasons, as they are printed on cards."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PlantReason:
    """A reason with a card."""

    code: str
    """Plant code on the card."""
    text: str
    acts: tuple[str, ...]
    """Words of the acts that it is a reason for."""
