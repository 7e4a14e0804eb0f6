"""Tipping of a table over the line of its feet, with somebody leaning on its edge.

The weight of top and base holds the table down, the load past the feet turns it over. Floors that give,
pushes and knocks from the side, and climbing are outside this.

References
----------
.. [1] ISO 7172:1988, Furniture, Tables, Determination of stability, clause 5: a vertical force in the middle
   of a side, 50 mm from the edge, along the long and along the short side.
.. [2] EN 12521 and EN 15372, requirements for tables: 400 N (from memory).
.. [3] EN 1022:2018: seating is tested for adults of up to 110 kg.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.figure_wording import format_figure
from calcs.asking.figures import Figure
from calcs.kit.rounding import places
from calcs.kit.units import both_units, to_metres
from calcs.structure.tipping_inputs import FROM_EDGE_LEN, LEANING_KG, OnFeet

GRAVITY = 9.80665
ADULT_KG = Decimal(110)
LEVEL = (
    "on a level floor that does not give; pushes from the side, knocks, climbing and children who hang on the"
    " edge are not covered: this is no proof of safety"
)
METHOD_SOURCE = "vertical force 50 mm in from the middle of each side: ISO 7172 (1988) (read)"
LOAD_SOURCE = "400 N leaning on a table: EN 12521 and EN 15372 (from memory)"
ADULT_SOURCE = "adults of up to 110 kg: scope of EN 1022 (2018), chairs (read)"


@dataclass(frozen=True, kw_only=True)
class Edge:
    """One edge of the table, loaded.

    Attributes
    ----------
    name : str
        Which edge.
    past_len : int
        How far the top reaches past the feet there [1/8 µm]; negative where the feet reach further.
    holding_nm, tipping_nm : Decimal
        Moment of the weight that holds it down, and of the load, about the line of the feet, to 0.1 [N·m].
    tips_at_kg : Decimal or None
        Load that tips it, to 0.1 [kg]; None where no load on the edge can.
    stands : bool
        True where it stands under the load asked about.
    most_past_len : int or None
        How far the top may reach past the feet to stand [1/8 µm]; None where it stands.
    base_kg : Decimal or None
        Weight of the base with which it would stand as it is, to 0.1 [kg]; None where it stands.
    """

    name: Annotated[str, Figure("Edge")]
    past_len: Annotated[int, Figure("Top past the feet")]
    holding_nm: Annotated[Decimal, Figure("Weight holds with")]
    tipping_nm: Annotated[Decimal, Figure("Load tips with")]
    tips_at_kg: Annotated[Decimal | None, Figure("Tips at")]
    stands: Annotated[bool, Figure("Stands")]
    most_past_len: Annotated[int | None, Figure("Would stand with the top past the feet by")]
    base_kg: Annotated[Decimal | None, Figure("Or with a base of")]


@dataclass(frozen=True, kw_only=True)
class Tipping:
    """The table with somebody leaning on each edge in turn.

    Attributes
    ----------
    stands : bool
        True where it stands at every edge.
    least_kg : Decimal or None
        Smallest load on an edge that tips it [kg]; None where none does.
    load_kg : Decimal
        Load asked about [kg].
    weight_kg : Decimal
        Weight of top and base [kg].
    edges : tuple of Edge
        Long edges, then the ends.
    warnings, notes, cautions, source : tuple of str
        Sentences for the maker, and the sources.
    """

    stands: Annotated[bool, Figure("Stands")]
    least_kg: Annotated[Decimal | None, Figure("Tips at, least", headline=True)]
    load_kg: Annotated[Decimal, Figure("Leaning on the edge")]
    weight_kg: Annotated[Decimal, Figure("Table in all")]
    edges: Annotated[tuple[Edge, ...], Figure("Edge by edge")]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    source: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class _Line:
    """Edge of the top and the line of feet by it; distances from the edge [1/8 µm]."""

    name: str
    feet: Fraction
    top: Fraction
    base: Fraction


def tipping(table: OnFeet) -> Tipping:
    """Return for each edge the moments about the line of the feet, and the load that tips the table.

    Parameters
    ----------
    table : OnFeet
        Size of the top and of the rectangle of the feet [1/8 µm], weights [kg].

    Returns
    -------
    Tipping
        Moments of the load are negative or zero where it is inside the feet.

    Notes
    -----
    About the line of the feet: held by g (top x (middle of the top - feet) + base x (middle of the base -
    feet)), tipped by g x load x (feet - place of the load), distances from the edge. It tips where the second
    is more. So the load that tips it is held / (g (feet - place of the load)).

    References
    ----------
    .. [1] ISO 7172:1988, clause 5: the place of the load.
    .. [2] Equilibrium of moments, in any text on statics.

    Examples
    --------
    A table of 24 kg, 2.20 m long, its legs 0.50 m in from the ends: a person of 66 kg may sit 0.28 m from the
    edge (Giancoli), which is 0.22 m past the legs: 24 x 0.60 = 66 x 0.218.

    >>> from calcs.kit.units import mm
    >>> found = tipping(
    ...     OnFeet(
    ...         length_len=mm(2200), width_len=mm(900), feet_length_len=mm(1200), feet_width_len=mm(900),
    ...         top_kg=Decimal(24), load_kg=Decimal(66), from_edge_len=mm(280)
    ...     )
    ... )
    >>> found.edges[1].tips_at_kg
    Decimal('65.5')
    """
    edges = tuple(_edge(table, line) for line in _lines(table))
    loads = [edge.tips_at_kg for edge in edges if edge.tips_at_kg is not None]
    least = min(loads) if loads else None
    return Tipping(
        stands=all(edge.stands for edge in edges),
        least_kg=least,
        load_kg=table.load_kg,
        weight_kg=places(table.weight_kg + table.base_kg, 1),
        edges=edges,
        warnings=tuple(_warning(table, edge) for edge in edges if not edge.stands),
        notes=_notes(table),
        cautions=_cautions(edges, least),
        source=_sources(table, least),
    )


def _lines(table: OnFeet) -> Iterator[_Line]:
    """Yield the long edge and the ends with their lines of feet; ends alike are one.

    Parameters
    ----------
    table : OnFeet
        Size of the top and of the rectangle of the feet [1/8 µm].

    Notes
    -----
    Without a place given the rectangle lies in the middle: the top reaches (length - feet) / 2 past it at
    either end. Across the top it always does.
    """
    half = Fraction(table.width_len, 2)
    yield _Line(name="long edge", feet=half - Fraction(table.feet_width_len, 2), top=half, base=half)
    middle, feet = Fraction(table.length_len, 2), Fraction(table.feet_length_len)
    left = middle - feet / 2 if table.left_len is None else Fraction(table.left_len)
    right = table.length_len - left - feet
    if left == right:
        yield _Line(name="either end", feet=left, top=middle, base=middle)
        return
    yield _Line(name="left end", feet=left, top=middle, base=left + feet / 2)
    yield _Line(name="right end", feet=right, top=middle, base=right + feet / 2)


def _edge(table: OnFeet, line: _Line) -> Edge:
    """Return one edge with its moments and what would let it stand.

    Parameters
    ----------
    table : OnFeet
        Weights and the load [kg], and its place [1/8 µm].
    line : _Line
        Distances of the feet and of the middles of top and base from the edge [1/8 µm].

    Notes
    -----
    Feet moved outward, base and top as they are: it stands with the feet at most (top x its middle + base x
    its middle + load x its place) / (top + base + load) from the edge. Base as heavy as (load x (feet - its
    place) - top x (its middle - feet)) / (middle of the base - feet).
    """
    top, base, load = (Fraction(mass) for mass in (table.weight_kg, table.base_kg, table.load_kg))
    arm = line.feet - table.from_edge_len
    held = top * (line.top - line.feet) + base * (line.base - line.feet)
    stands = load * arm <= held
    lever = line.base - line.feet
    return Edge(
        name=line.name,
        past_len=round(line.feet),
        holding_nm=_moment(held),
        tipping_nm=_moment(load * arm),
        tips_at_kg=places(held / arm, 1) if arm > 0 else None,
        stands=stands,
        most_past_len=None
        if stands
        else int((top * line.top + base * line.base + load * table.from_edge_len) / (top + base + load)),
        base_kg=None
        if stands or lever <= 0
        else places((load * arm - top * (line.top - line.feet)) / lever, 1),
    )


def _moment(mass_by_length: Fraction) -> Decimal:
    """Return a mass [kg] times a length [1/8 µm] as the moment of its weight [N·m], to 0.1."""
    return places(float(mass_by_length) * GRAVITY * to_metres(1), 1)


def _warning(table: OnFeet, edge: Edge) -> str:
    """Return what tips, at what load, and what would hold.

    Parameters
    ----------
    table : OnFeet
        The load asked about [kg].
    edge : Edge
        An edge at which the table does not stand.
    """
    assert edge.tips_at_kg is not None and edge.most_past_len is not None
    at = max(Decimal(0), edge.tips_at_kg)
    heavier = f", or a base of {_mass(edge.base_kg)}" if edge.base_kg is not None else ""
    return (
        f"tips over with {_mass(at)} on {_called(edge)}; somebody leaning there loads it with"
        f" {_mass(table.load_kg)}: it stands with the top at most {both_units(edge.most_past_len)} past the"
        f" feet there{heavier}"
    )


def _called(edge: Edge) -> str:
    """Return the name of an edge as a sentence takes it."""
    return edge.name if edge.name.startswith("either") else f"the {edge.name}"


def _mass(kilograms: Decimal) -> str:
    return format_figure("load_kg", kilograms)


def _notes(table: OnFeet) -> tuple[str, ...]:
    """Return how it is counted."""
    notes = [f"load {both_units(table.from_edge_len)} in from the edge; base in the middle across the top"]
    if not table.base_kg:
        notes.append("base counted without weight: a heavy one stands better")
    return tuple(notes)


def _cautions(edges: tuple[Edge, ...], least: Decimal | None) -> tuple[str, ...]:
    """Return the caution for somebody who sits on the edge, and what is not covered.

    Parameters
    ----------
    edges : tuple of Edge
        Every edge.
    least : Decimal or None
        Smallest load that tips the table [kg].

    References
    ----------
    .. [1] EN 1022:2018, scope: adults of up to 110 kg.
    """
    if least is None or least >= ADULT_KG:
        return (LEVEL,)
    names = [_called(edge) for edge in edges if edge.tips_at_kg is not None and edge.tips_at_kg < ADULT_KG]
    sits = (
        f"a heavy adult ({_mass(ADULT_KG)}) who sits on {' or '.join(names)} tips the table: it goes"
        f" over at {_mass(max(Decimal(0), least))}; tell the client, or fix it to floor or wall"
    )
    return (sits, LEVEL)


def _sources(table: OnFeet, least: Decimal | None) -> tuple[str, ...]:
    """Return the sources of place and size of the load."""
    own = "your own load or place of it"
    usual = (table.load_kg, table.from_edge_len) == (LEANING_KG, FROM_EDGE_LEN)
    adult = (ADULT_SOURCE,) if least is not None and least < ADULT_KG else ()
    return (METHOD_SOURCE, LOAD_SOURCE if usual else own, *adult)
