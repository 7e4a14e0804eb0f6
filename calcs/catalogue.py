"""The calculations by name: the question, its inputs, the function that answers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import KW_ONLY, dataclass
from typing import Any

from calcs.asking.answers import Answer, answered
from calcs.asking.field_types import Habit
from calcs.asking.figure_lists import asked_by, found_by, titles_of
from calcs.asking.inputs import describe, read
from calcs.curing.hardening import hardening
from calcs.drawing.sheets import strips_drawn
from calcs.finish.finish_job import finishing
from calcs.finish.sanding import sanding
from calcs.glue_up.clamping import clamping
from calcs.glue_up.gluing import gluing
from calcs.handling.access import access
from calcs.handling.flips import flips
from calcs.handling.lift_top import lift_top
from calcs.joints.joinery import slots
from calcs.kit.validators import one_of
from calcs.lumber.layout import strips
from calcs.lumber.lumber import top_lumber
from calcs.money.costing import costing
from calcs.structure.attachment import attachment
from calcs.structure.breadboard import breadboard
from calcs.structure.sag import sag
from calcs.structure.stiffening import stiffening
from calcs.structure.tipping import tipping
from calcs.wood.emc import emc
from calcs.wood.movement_inputs import movement_for
from calcs.wood.settling import settling
from calcs.wood.weight import weight


@dataclass(frozen=True)
class Calculation:
    """One question of the trade: ``answer`` takes a value class and returns a result with its sources.

    Pages translate the ``title``. ``example`` is the least that has to be typed. ``draw`` makes an SVG of the
    two where there is something to see. Only the owner may ask what is of ``money``.

    Raises
    ------
    TypeError
        Naming a figure of the result that has no title.
    """

    title: str
    _: KW_ONLY
    name: str
    question: str
    answer: Callable[[Any], Any]
    example: Mapping[str, str]
    draw: Callable[[Any, Any, str], str | None] | None = None
    money: bool = False

    def __post_init__(self) -> None:
        titles_of(self.found)

    @property
    def asked(self) -> Any:
        """Return the value class that ``answer`` takes."""
        return asked_by(self.answer)

    @property
    def found(self) -> Any:
        """Return the result class."""
        return found_by(self.answer)


TOP = {"length": "60", "width": "32", "thickness": "1 1/2"}
"""Sizes of the desk top that the examples ask about; bare numbers in inches and °F."""
CALCULATIONS: Mapping[str, Calculation] = {
    c.name: c
    for c in (
        Calculation(
            "Lumber",
            name="lumber",
            question="How much lumber, which thickness, how many boards?",
            answer=top_lumber,
            example={**TOP, "board_width": "7"},
        ),
        Calculation(
            "Strips",
            name="layout",
            question="How many strips, how wide, in what order?",
            answer=strips,
            draw=strips_drawn,
            example={"length": "60", "width": "32"},
        ),
        Calculation(
            "Slots and joints",
            name="joinery",
            question="Where do the slots go, in which edges, how many to buy?",
            answer=slots,
            example={"length": "60", "thickness": "1 1/2", "joints": "4"},
        ),
        Calculation(
            "Moisture in the air",
            name="emc",
            question="What moisture does wood come to here?",
            answer=emc,
            example={"rh_pct": "45"},
        ),
        Calculation(
            "Movement",
            name="movement",
            question="How much does it move?",
            answer=movement_for,
            example={"size": "32", "species": "white oak", "rh_low_pct": "30", "rh_high_pct": "60"},
        ),
        Calculation(
            "Settling of stock",
            name="settling",
            question="When has the stock settled to the shop?",
            answer=settling,
            example={"readings": "0 s, 9.6; 3 d, 9.0; 6 d, 8.6; 9 d, 8.3", "thickness": "2", "rh_pct": "40"},
        ),
        Calculation(
            "Curing",
            name="curing",
            question="How far has it come, and when is it ready?",
            answer=hardening,
            example={"glue": "pva", "temp": "68"},
        ),
        Calculation(
            "Finish",
            name="finishing",
            question="How much finish, which cans, when may each coat go on?",
            answer=finishing,
            example={**TOP, "finish": "water-borne"},
        ),
        Calculation(
            "Sanding",
            name="sanding",
            question="Which grits, how long, how many discs?",
            answer=sanding,
            example={"length": "60", "width": "32"},
        ),
        Calculation(
            "Sag",
            name="sag",
            question="How far does it bend?",
            answer=sag,
            example={**TOP, "species": "white oak", "supports": "6, 54"},
        ),
        Calculation(
            "Clamps",
            name="clamping",
            question="Where do the clamps go, how many, are there enough?",
            answer=clamping,
            example={**TOP, "outer": "6 1/2", "glue": "pva", "species": "white oak"},
        ),
        Calculation(
            "Glue amount and assembly time",
            name="gluing",
            question="How much glue, and does it go together in one go?",
            answer=gluing,
            example={
                "strips": "6 1/2, 6 1/2, 6 1/2, 6 1/2, 6 1/2",
                "length": "62",
                "thickness": "1 1/2",
                "glue": "pva",
            },
        ),
        Calculation(
            "Tipping",
            name="tipping",
            question="Does it tip when somebody leans on its edge?",
            answer=tipping,
            example={**TOP, "species": "white oak", "feet_length": "48", "feet_width": "26"},
        ),
        Calculation(
            "Fixing to a base",
            name="attachment",
            question="How far must each base fixing let the top move?",
            answer=attachment,
            example={"species": "white oak", "width": "32", "fixings": "4, 16, 28"},
        ),
        Calculation(
            "Breadboard ends",
            name="breadboard",
            question="What room do tongue and pegs need, and when is it flush?",
            answer=breadboard,
            example={"species": "white oak", "width": "32"},
        ),
        Calculation(
            "Stiffeners",
            name="stiffening",
            question="Where do the channels go, how long are recesses and slots?",
            answer=stiffening,
            example={**TOP, "species": "white oak"},
        ),
        Calculation(
            "Weight",
            name="weight",
            question="How heavy is it?",
            answer=weight,
            example={**TOP, "species": "white oak"},
        ),
        Calculation(
            "Lifting",
            name="lifting",
            question="Who can lift it?",
            answer=lift_top,
            example={**TOP, "species": "white oak"},
        ),
        Calculation(
            "Turning over",
            name="flips",
            question="How seldom can it be turned over?",
            answer=flips,
            example={
                "works": "flatten, show; recesses, under; sand, show, flatten; oil, under, recesses + sand"
            },
        ),
        Calculation(
            "The way in",
            name="access",
            question="Does it go through, round and up?",
            answer=access,
            example={**TOP, "doors": "30, 78"},
        ),
        Calculation(
            "Costing",
            name="costing",
            question="What does it cost, what to ask for it?",
            answer=costing,
            example={"labour": "milling, 12; finishing, 6.5", "rate": "65"},
            money=True,
        ),
    )
}


def find(name: str) -> Calculation:
    """Return a calculation by its name.

    Raises
    ------
    Unknown
        Listing the nearest names.
    """
    one_of(name, "name", CALCULATIONS)
    return CALCULATIONS[name]


def run(name: str, given: Mapping[str, Any], habit: Habit) -> Answer:
    """Return the answer of a calculation to typed inputs.

    Parameters
    ----------
    name : str
        One of `CALCULATIONS`.
    given : mapping
        Typed text or values of JSON by the names of the inputs.
    habit : Habit
        Units of a bare number.

    Raises
    ------
    Unknown, Unreadable, OutOfRange
        Naming the input as it is typed.
    """
    calculation = find(name)
    asked = read(calculation.asked, given, habit)
    found = calculation.answer(asked)
    return answered(
        name=name,
        question=calculation.question,
        asked=asked,
        found=found,
        drawing=calculation.draw(asked, found, habit.length) if calculation.draw else None,
    )


def listing(name: str = "") -> list[dict[str, Any]]:
    """Return every calculation, or one, with its question, its inputs and the least that has to be typed."""
    return [
        {
            "name": each.name,
            "question": each.question,
            "inputs": describe(each.asked),
            "example": dict(each.example),
        }
        for each in ([find(name)] if name else CALCULATIONS.values())
    ]
