"""The calculations by name: the question, its inputs, the function that answers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from calcs.asking.answers import Answer, answered
from calcs.asking.field_types import Habit
from calcs.asking.inputs import describe, read
from calcs.curing.hardening import hardening
from calcs.curing.hardening_inputs import Hardening
from calcs.drawing import drawing
from calcs.examples import EXAMPLES
from calcs.finish.finish_job import finishing
from calcs.finish.finish_job_inputs import FinishJob
from calcs.finish.sanding import SandTop, sanding
from calcs.glue_up.clamping import clamping
from calcs.glue_up.clamping_inputs import Panel
from calcs.glue_up.gluing import gluing
from calcs.glue_up.gluing_inputs import GlueLines
from calcs.handling.access import access
from calcs.handling.access_inputs import WayIn
from calcs.handling.flips import TurnOver, flips
from calcs.handling.lift_top import TopLift, lift_top
from calcs.joints.joinery import slots
from calcs.joints.slot_plan import SlotPlan
from calcs.kit.validators import one_of
from calcs.lumber.layout import StripLayout, strips
from calcs.lumber.lumber import top_lumber
from calcs.lumber.lumber_inputs import TopLumber
from calcs.money.costing import costing
from calcs.money.costing_inputs import Costing
from calcs.structure.attachment import OnBase, attachment
from calcs.structure.breadboard import breadboard
from calcs.structure.breadboard_inputs import BreadboardEnd
from calcs.structure.loaded_top import LoadedTop
from calcs.structure.sag import sag
from calcs.structure.stiffening import stiffening
from calcs.structure.stiffening_inputs import Stiffeners
from calcs.wood.emc import RoomAir, emc
from calcs.wood.movement_inputs import MovementInputs, movement_for
from calcs.wood.settling import settling
from calcs.wood.settling_inputs import Stock
from calcs.wood.weight import TopWeight, weight


@dataclass(frozen=True, kw_only=True)
class Calculation:
    """One question of the trade: ``answer`` takes an ``asked`` and returns a value with its sources.

    ``draw`` makes an SVG of both where there is something to see.
    """

    name: str
    question: str
    asked: type[Any]
    answer: Callable[[Any], Any]
    draw: Callable[[Any, Any], str] | None = None


CALCULATIONS: Mapping[str, Calculation] = {
    c.name: c
    for c in (
        Calculation(
            name="lumber",
            question="How much lumber, which thickness, how many boards?",
            asked=TopLumber,
            answer=top_lumber,
        ),
        Calculation(
            name="layout",
            question="How many strips, how wide, in what order?",
            asked=StripLayout,
            answer=strips,
            draw=lambda asked, found: drawing(found, asked=asked),
        ),
        Calculation(
            name="joinery",
            question="Where do the slots go, in which edges, how many to buy?",
            asked=SlotPlan,
            answer=slots,
        ),
        Calculation(name="emc", question="What moisture does wood come to here?", asked=RoomAir, answer=emc),
        Calculation(
            name="movement", question="How much does it move?", asked=MovementInputs, answer=movement_for
        ),
        Calculation(
            name="settling",
            question="When has the stock settled to the shop?",
            asked=Stock,
            answer=settling,
        ),
        Calculation(
            name="curing",
            question="How far has it come, and when is it ready?",
            asked=Hardening,
            answer=hardening,
        ),
        Calculation(
            name="finishing",
            question="How much finish, which cans, when may each coat go on?",
            asked=FinishJob,
            answer=finishing,
        ),
        Calculation(
            name="sanding", question="Which grits, how long, how many discs?", asked=SandTop, answer=sanding
        ),
        Calculation(name="sag", question="How far does it bend?", asked=LoadedTop, answer=sag),
        Calculation(
            name="clamping",
            question="Where do the clamps go, how many, are there enough?",
            asked=Panel,
            answer=clamping,
        ),
        Calculation(
            name="gluing",
            question="How much glue, and does it go together in one go?",
            asked=GlueLines,
            answer=gluing,
        ),
        Calculation(
            name="attachment",
            question="How far must each base fixing let the top move?",
            asked=OnBase,
            answer=attachment,
        ),
        Calculation(
            name="breadboard",
            question="What room do tongue and pegs need, and when is it flush?",
            asked=BreadboardEnd,
            answer=breadboard,
        ),
        Calculation(
            name="stiffening",
            question="Where do the channels go, how long are recesses and slots?",
            asked=Stiffeners,
            answer=stiffening,
        ),
        Calculation(name="weight", question="How heavy is it?", asked=TopWeight, answer=weight),
        Calculation(name="lifting", question="Who can lift it?", asked=TopLift, answer=lift_top),
        Calculation(name="flips", question="How seldom can it be turned over?", asked=TurnOver, answer=flips),
        Calculation(name="access", question="Does it go through, round and up?", asked=WayIn, answer=access),
        Calculation(
            name="costing", question="What does it cost, what to ask for it?", asked=Costing, answer=costing
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
        drawing=calculation.draw(asked, found) if calculation.draw else None,
    )


def listing(name: str = "") -> list[dict[str, Any]]:
    """Return every calculation, or one, with its question, its inputs and the least that has to be typed."""
    return [
        {
            "name": each.name,
            "question": each.question,
            "inputs": describe(each.asked),
            "example": dict(EXAMPLES[each.name]),
        }
        for each in ([find(name)] if name else CALCULATIONS.values())
    ]
