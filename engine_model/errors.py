"""What the model says about an input it cannot take."""

from __future__ import annotations

from dataclasses import dataclass


class InputError(ValueError):
    """An input outside what is allowed.

    Parameters
    ----------
    field : str
        Which input, as the path of its field.
    value : object
        What was given.
    allowed : str
        What is allowed, in words.
    """

    def __init__(self, field: str, value: object, allowed: str) -> None:
        super().__init__(field, value, allowed)
        self.field = field
        self.value = value
        self.allowed = allowed

    def __str__(self) -> str:
        """Return the field, what was given and what is allowed as one sentence."""
        return f"{self.field}: {self.value!r} given; allowed: {self.allowed}"


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of a file.

    Parameters
    ----------
    where : str
        The place, such as ``speed_lines[3].points[7]``.
    value : str
        What stands there, shortened.
    allowed : str
        What is allowed, in words.
    """

    where: str
    value: str
    allowed: str

    def sentence(self) -> str:
        """Return the fault as one sentence."""
        return f"{self.where}: {self.value} given; allowed: {self.allowed}"


class FileFaultsError(ValueError):
    """A file with faults; carries all of them.

    Parameters
    ----------
    name : str
        The file's name.
    faults : tuple of Fault
        Every fault found, in file order.
    """

    def __init__(self, name: str, faults: tuple[Fault, ...]) -> None:
        super().__init__(name, faults)
        self.name = name
        self.faults = faults

    def __str__(self) -> str:
        """Return one sentence a fault, a line each."""
        return "\n".join(f"{self.name}: {fault.sentence()}" for fault in self.faults)
