"""Rough thickness to buy for a top, so that flattening still leaves the finished thickness.

Notes
-----
A board loses thickness twice: its faces are made flat, by the mill or in the shop, and the glued top is
flattened. The NHLA's surfaced thickness is what a mill leaves; 8/4 is then 1 3/4 in, and a top of 1 3/4 in
wants thicker boards.

References
----------
.. [1] NHLA, standard thickness of surfaced hardwood lumber; ``calcs/tables/lumber.csv``.
.. [2] DIN 4071 and EN 1313-2, thicknesses of sawn timber [mm]; ``calcs/tables/lumber_metric.csv``.
.. [3] Allowances for milling and flattening: common practice, no source; `calcs.lumber.finished_size`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units
from calcs.lumber.finished_size import FLATTENING, MILLING, flattening_len, milling_len
from calcs.lumber.lumber_inputs import TopLumber
from calcs.lumber.quarters import MILLIMETRES, QUARTERS, Quarters, quarters_of

ROUGH = "rough"


@dataclass(frozen=True, kw_only=True)
class Stock:
    """Boards of one rough thickness, as they are bought for a top.

    Attributes
    ----------
    quarters : Quarters
        Their rough and surfaced thickness.
    flat_len : int
        Thickness that a strip of them has when it is glued up [1/8 µm].
    takes_len : int
        What flattening the glued top takes [1/8 µm].
    wanted_len : int
        Finished thickness asked for [1/8 µm].
    hand_len : int
        Least thickness of a rough board at hand that does [1/8 µm].
    """

    quarters: Quarters
    flat_len: int
    takes_len: int
    wanted_len: int
    hand_len: int

    @property
    def finished_len(self) -> int:
        """Return the finished thickness to expect [1/8 µm]: the one asked for, or less."""
        return min(self.wanted_len, self.flat_len - self.takes_len)

    @property
    def thinner_len(self) -> int:
        """Return by how much the top comes out thinner than asked [1/8 µm]."""
        return self.wanted_len - self.finished_len

    @property
    def source(self) -> tuple[str, ...]:
        """Return the sources of thickness, flattening and milling."""
        return (*self.quarters.source, FLATTENING, MILLING)


def stock_of(top: TopLumber) -> Stock:
    """Return the rough thickness to buy: the one asked for, else the thinnest stocked one that leaves enough.

    Parameters
    ----------
    top : TopLumber
        Finished size [1/8 µm], how the boards are bought, what the yard stocks.

    Returns
    -------
    Stock

    Raises
    ------
    OutOfRange
        If no stocked thickness, or the one asked for, is as thick as the top once it is flat.

    Notes
    -----
    Enough is the finished thickness and what flattening takes. Where no stocked thickness has so much, the
    thickest one is taken that is at least as thick as the top, and the top comes out thinner. Boards bought
    surfaced have the surfaced thickness; rough ones lose what milling takes.

    Examples
    --------
    1 11/16 in and the 1/16 in of flattening are the 1 3/4 in of surfaced 8/4; 1 3/4 in wants 10/4.

    >>> from calcs.kit.units import inches
    >>> size = {"length_len": inches(70), "width_len": inches(30), "board_width_len": inches(8)}
    >>> stock_of(TopLumber(**size, thickness_len=inches("27/16"))).quarters.quarters
    '8/4'
    >>> stock_of(TopLumber(**size, thickness_len=inches("7/4"))).quarters.quarters
    '10/4'
    """
    names = top.stocked if top.quarters is None else (top.quarters,)
    flat = {one: _flat_len(top, one) for one in quarters_of(names)}
    usable = [one for one in flat if flat[one] >= top.thickness_len]
    if not usable:
        raise _too_thin(top, max(flat.values()), names)
    takes = flattening_len(length_len=top.length_len, width_len=top.width_len)
    enough = [one for one in usable if flat[one] >= top.thickness_len + takes]
    one = enough[0] if enough else usable[-1]
    needed = top.thickness_len + takes + milling_len(length_len=top.length_len)
    return Stock(
        quarters=one,
        flat_len=flat[one],
        takes_len=takes,
        wanted_len=top.thickness_len,
        hand_len=min(one.rough_len, needed),
    )


def thinner_words(top: TopLumber, stock: Stock) -> tuple[str, ...]:
    """Return the warning that a top comes out thinner than asked, with the ways out; empty where not.

    Parameters
    ----------
    top : TopLumber
        What was asked for.
    stock : Stock
        Boards to buy for it.
    """
    if not stock.thinner_len:
        return ()
    name = stock.quarters.quarters
    how = "milled flat" if top.surfaced == ROUGH else "surfaced"
    return (
        f"the top comes out {both_units(stock.thinner_len)} thinner than asked: {name} {how} is"
        f" {both_units(stock.flat_len)}, flattening takes {both_units(stock.takes_len)} and leaves"
        f" {both_units(stock.finished_len)} of {both_units(top.thickness_len)};"
        f" {', or '.join(_ways(top, stock))}",
    )


def _ways(top: TopLumber, stock: Stock) -> Iterator[str]:
    """Yield what can be done where the top comes out thinner than asked."""
    needed = top.thickness_len + stock.takes_len
    yield f"agree on {both_units(stock.finished_len)}"
    milled = stock.quarters.rough_len - milling_len(length_len=top.length_len)
    if top.surfaced != ROUGH and milled >= needed:
        yield f"buy {stock.quarters.quarters} rough and mill it to {both_units(needed)} yourself"
    alike = QUARTERS if stock.quarters.quarters in QUARTERS else MILLIMETRES
    thicker = [one.quarters for one in quarters_of(alike) if _flat_len(top, one) >= needed]
    stocked = [name for name in thicker if name in top.stocked]
    if stocked:
        yield f"buy {stocked[0]}"
    elif thicker:
        yield f"have {thicker[0]} ordered, which the yard does not stock"


def _flat_len(top: TopLumber, one: Quarters) -> int:
    """Return the thickness of a strip of such boards before the glue-up [1/8 µm]."""
    if top.surfaced != ROUGH:
        return one.surfaced_len
    return one.rough_len - milling_len(length_len=top.length_len)


def _too_thin(top: TopLumber, most: int, names: tuple[str, ...]) -> Exception:
    """Return the refusal of a top thicker than any of these boards."""
    if top.quarters is not None:
        says = f"it gives {both_units(most)} of {both_units(top.thickness_len)}; take a thicker one"
        return out_of_range("quarters", top.quarters, says)
    allowed = f"at most {both_units(most)} from one board of {', '.join(names)}, as the yard stocks them"
    return out_of_range("thickness", both_units(top.thickness_len), allowed)
