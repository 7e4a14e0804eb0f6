"""The title of a figure and how it is shown, stated once beside its field of a result class.

Screens, papers and the calculator read it there (`calcs.asking.figure_lists`); pages translate the title.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, field


@dataclass(frozen=True)
class Figure:
    """Title of a figure; of rows that of their table, in a row that of its column.

    ``strip_len: Annotated[int, Figure("Width of a strip")]``

    Parameters
    ----------
    title : str
        Name in words, with a capital.
    near : bool
        True for a place that nobody measures to a 64th: it is shown to 1/4 in or 5 mm.
    sentence : bool
        True for whole sentences; they stand among the notes.
    quiet : bool
        True where zero says nothing: it is left out then.
    hidden : bool
        True where another figure tells the same, and for a column that tables leave out.
    money : bool
        True for a sum in the shop's currency; only the owner sees it.
    headline : bool
        True for the figure that is read most: its value stands beside the calculation's title.
    within : Mapping
        Figures of this group or row that have another title here, by name.
    """

    title: str
    _: KW_ONLY
    near: bool = False
    sentence: bool = False
    quiet: bool = False
    hidden: bool = False
    money: bool = False
    headline: bool = False
    within: Mapping[str, Figure] = field(default_factory=dict, hash=False)
