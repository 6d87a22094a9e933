"""A reader of what comes from outside, as it is put before damaged inputs."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from support_damage import Damage, damaged_bytes


@dataclass(frozen=True)
class Reader:
    """A reader of one kind of input."""

    seeds: Callable[[Path], Sequence[bytes]]
    """Good inputs, given a folder that is empty."""
    read: Callable[[bytes, Path], Any]
    """Reads an input, which may be put into a file of that name."""
    damage: Damage = damaged_bytes
    suffix: str = ""
    """Of the file's name."""
    accepted: Callable[[Any, bytes], bool] = lambda answer, data: True
    """Whether an input that was taken deserves it."""
    share: int = 10
    """Inputs of every thousand."""


def text_of(data: bytes) -> str:
    return data.decode("utf-8", "surrogateescape")


def texts(*lines: str) -> Callable[[Path], Sequence[bytes]]:
    return lambda _: [line.encode() for line in lines]


def in_file(read: Callable[[Path], Any]) -> Callable[[bytes, Path], Any]:
    def read_it(data: bytes, file: Path) -> Any:
        file.write_bytes(data)
        return read(file)

    return read_it
