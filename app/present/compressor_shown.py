"""One compressor as it stands among those compared, answered or not."""

from __future__ import annotations

from dataclasses import dataclass

from engine_model.studies.compressor_records import CompressorRow, Setting

DONE, OLD, WAITING, OFF, BROKEN = "done", "old", "waiting", "off", "broken"
"""How a candidate stands in the table: answered, answered by the last run, under way, not chosen,
a file with faults."""

STATUS_WORDS = {WAITING: "to come", OFF: "not chosen", BROKEN: "file not read"}

AS_OF_LAST = "as of the last run"


@dataclass(frozen=True, slots=True, eq=False)
class ShownRow:
    """One candidate as it stands in the table.

    Parameters
    ----------
    key : str
        Tells candidates apart.
    title : str
        Title of its compressor map, or the name of its file.
    source : str
        Where it comes from.
    status : str
        ``done``, ``old``, ``waiting``, ``off`` or ``broken``.
    row : CompressorRow or None
        Its answer.
    sentence : str
        What is wrong with its file.
    is_own : bool
        Whether the build has this map now.
    speeds : tuple of float
        Engine speeds that mattered when it was answered. [rpm]
    aim : str
        What was looked for when it was answered.
    not_judged : tuple of str
        Days of the build that its answer does not judge.
    """

    key: str
    title: str
    source: str
    status: str
    row: CompressorRow | None = None
    sentence: str = ""
    is_own: bool = False
    speeds: tuple[float, ...] = ()
    aim: str = ""
    not_judged: tuple[str, ...] = ()

    @property
    def setting(self) -> Setting | None:
        """Its best size."""
        return None if self.row is None else self.row.setting

    @property
    def answered(self) -> bool:
        """Whether it has numbers to show."""
        return self.row is not None and self.row.setting is not None
