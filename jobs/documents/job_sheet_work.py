"""The second page of a job sheet: glue-up, clamps, steel, ends, sanding, coats."""

from typing import Any

from calcs.glue_up.glue_stages import GlueStage
from calcs.lumber.ends import ENDS
from jobs.documents.job_sheet_cells import (
    Block,
    after,
    by,
    counted,
    listed,
    notes_for_hands,
    sentence,
    work,
)
from jobs.documents.job_sheet_results import Results, Sheet, notes_of, why_not
from jobs.documents.kit.sizes import Sizes

FEW = 4
"""Parts of a clamping that are named one by one; of more the first and the last are named."""


def sessions(sheet: Sheet, results: Results, sizes: Sizes) -> dict[str, Any]:
    """Return the clampings with room for the clock, and why there are none."""
    glue, times = results.glue, results.glue_times
    if glue is None:
        why = why_not(sheet, "glue")
        return {"rows": [], "line": sentence(sizes.text(why)), "head": [], "write": []}
    rows = [
        [
            str(one.number), _joins(one), sizes.bench(one.width_len), sizes.amount(one.glue_ml, "mL", "up"),
            work(one.assembly_s),
        ]
        for one in glue.stages
    ]  # fmt: skip
    return {
        "line": (
            f"{sizes.amount(glue.glue_ml, 'mL', 'up')} in all. Today open {by(glue.open_s)}, closed"
            f" {by(glue.closed_s)}; dry fit within {by(glue.allowed_s)}."
        ),
        "head": ["No.", "Joins", "Width", "Glue", "Takes"],
        "rows": rows,
        "write": [
            "Clamps on at",
            f"Scrape {_window(times.scrape_from_s, times.scrape_to_s)}" if times else "Scrape",
            f"Off {after(times.unclamp_s)} after" if times else "Off",
            f"Machine {after(times.machine_s)} after" if times else "Machine",
        ],
        "after": f"Final surfacing {after(times.surface_s)} after the last session." if times else "",
        "reason": sentence(sizes.text(times.reason)) if times else "",
    }


def _joins(stage: GlueStage) -> str:
    joins = [part.replace("-", " to ") for part in stage.joins]
    return " + ".join(joins) if len(joins) <= FEW else f"{joins[0]} to {joins[-1]}, {len(joins)} parts"


def _window(start_s: int | None, end_s: int | None) -> str:
    return f"{after(start_s)} to {by(end_s)} after" if end_s else f"{after(start_s)} after, or later"


def clamps(sheet: Sheet, results: Results, sizes: Sizes, *, is_short: bool) -> Block | None:
    """Return the clamps and cauls; ``is_short`` leaves their places to the drawing."""
    found = results.clamps
    if found is None:
        return _refused("Clamps and cauls", sheet, "clamps", sizes)
    places = {
        side: listed(sizes.about(clamp.at_len) for clamp in found.places if clamp.side == side)
        for side in dict.fromkeys(clamp.side for clamp in found.places)
    }
    told = (
        *((side.capitalize(), f"{at} from the rough end") for side, at in places.items()),
        ("Cauls", f"in pairs at {listed(sizes.about(at) for at in found.cauls_at_len)}"),
    )
    drawn = (("Places", f"as drawn, {len(found.cauls_at_len)} pairs of cauls"),)
    return Block(
        title="Clamps and cauls",
        lines=(
            ("Clamps", f"{found.count} that reach {sizes.bench(found.reach_len, 'up')}"),
            *(drawn if is_short else told),
            ("Each clamp", f"{sizes.amount(found.each_least_n, 'N', 'up')} at least"),
        ),
        notes=notes_for_hands(notes_of(sheet, "clamps"), sizes),
    )


def stiffeners(sheet: Sheet, results: Results, sizes: Sizes) -> Block | None:
    found = results.stiffeners
    if found is None:
        return _refused("Stiffeners", sheet, "stiffeners", sizes)
    recess = " × ".join(sizes.joint(size, "up") for size in (found.recess_length_len, found.recess_wide_len))
    deep, middle = sizes.joint(found.recess_deep_len, "up"), sizes.joint(found.recess_middle_len, "up")
    bolts = (
        f"{sizes.joint(bolt.at_len)} "
        + ("fixed, round hole" if bolt.fixed else f"slot {sizes.joint(bolt.slot.slot_len, 'up')}")
        for bolt in found.bolts
    )
    return Block(
        title="Stiffeners",
        lines=(
            ("Channels", f"{found.count}, each {sizes.bench(found.channel_len, 'down')} long"),
            ("Middles", f"{listed(sizes.bench(at) for at in found.places_len)} from the finished end"),
            ("Recess", f"{recess}, {deep} deep, {middle} in the middle"),
            ("Bolts", f"along the channel: {listed(bolts)}"),
        ),
        notes=notes_for_hands(notes_of(sheet, "stiffeners"), sizes),
    )


def breadboard(sheet: Sheet, results: Results, sizes: Sizes) -> Block | None:
    """Return all that a breadboard end is built from: end, tongue, mortise, glue, pegs, the year."""
    found = results.breadboard
    if found is None:
        return _refused("Breadboard ends", sheet, "breadboard", sizes)
    shoulder_len = sheet["length_len"] - ENDS * found.end_wide_len
    tongue = _sides(
        (sizes.joint(found.tongue_len, "down"), "long"), (sizes.joint(found.tongue_deep_len, "down"), "deep"),
        (sizes.joint(found.tongue_thick_len, "down"), "thick"),
    )  # fmt: skip
    mortise = _sides(
        (sizes.joint(found.mortise_len, "up"), "long"), (sizes.joint(found.mortise_deep_len, "up"), "deep"),
        (sizes.joint(found.tongue_thick_len, "down"), "wide"),
    )  # fmt: skip
    end = _sides(
        (sizes.bench(found.end_len), "long"), (sizes.bench(found.end_wide_len), "wide"),
        (sizes.joint(found.end_thick_len), "thick"),
    )  # fmt: skip
    return Block(
        title="Breadboard ends",
        lines=(
            ("Ends", f"{ENDS}, each {end}, flush {found.flush}"),
            ("Panel", f"{sizes.bench(shoulder_len)} from shoulder to shoulder"),
            ("Tongue", f"{tongue}; {sizes.joint(found.clearance_len, 'up')} free at either end"),
            ("Mortise", mortise),
            (
                "Glue",
                f"only from {sizes.joint(found.glued_from_len, 'up')} to"
                f" {sizes.joint(found.glued_to_len, 'down')} from the left edge,"
                f" {sizes.joint(found.glued_to_len - found.glued_from_len, 'down')} long; it holds back"
                f" {sizes.joint(found.held_len)} of movement",
            ),
            (
                "Pegs",
                f"{len(found.pegs)}, ⌀ {sizes.joint(found.peg_len)}, {sizes.joint(found.peg_in_len)} from the"
                " shoulder",
            ),
            ("As made", _gap(found.reveal.when_made_len, "when made", sizes)),
            ("Year", _year(found.reveal.dry_len, found.reveal.humid_len, sizes)),
        ),
        head=("Peg", "From the left edge", "Hole in the tongue", "Peg from the slot's inner end"),
        rows=tuple(
            (
                str(number),
                sizes.joint(peg.at_len),
                "round" if peg.round else f"slot {sizes.joint(peg.slot.slot_len, 'up')} long",
                "" if peg.round else sizes.joint(peg.slot.inner_len),
            )
            for number, peg in enumerate(found.pegs, 1)
        ),
        notes=notes_for_hands(notes_of(sheet, "breadboard"), sizes),
    )


def _sides(*sides: tuple[str, str]) -> str:
    return listed(f"{size} {name}" for size, name in sides if size)


def _gap(proud_len: int, season: str, sizes: Sizes) -> str:
    """Return what stands proud at either edge."""
    if not proud_len:
        return f"flush {season}"
    who = "end" if proud_len > 0 else "panel"
    return f"{who} {sizes.joint(abs(proud_len))} proud {season}"


def _year(dry_len: int, humid_len: int, sizes: Sizes) -> str:
    dry, humid = _gap(dry_len, "when dry", sizes), _gap(humid_len, "when humid", sizes)
    return f"at either edge the {dry}; {humid}".replace("the flush", "flush")


def fixings(sheet: Sheet, results: Results, sizes: Sizes) -> Block | None:
    found = results.fixings
    if found is None:
        return _refused("Fixing to the base", sheet, "fixings", sizes)
    each = (
        f"{sizes.joint(one.at_len)}"
        + (f" slot {sizes.joint(one.slot.slot_len, 'up')}" if one.slot else "")
        + (f" groove {sizes.joint(one.button.groove_len, 'up')}" if one.button else "")
        for one in found.fixings
    )
    return Block(
        title="Fixing to the base",
        lines=(
            ("Fixings", f"{found.count} in all"),
            ("Each rail", f"{listed(each)} from the left edge; held fast at {sizes.joint(found.fixed_len)}"),
        ),
        notes=notes_for_hands(notes_of(sheet, "fixings"), sizes),
    )


def sanding(results: Results) -> str:
    """Return the grits with their discs, and the turns of the whole work."""
    found, turns = results.sanding, results.turns
    told = []
    if found is not None:
        grits = listed(f"{grit.grade} with {counted(grit.discs, 'disc')}" for grit in found.ladder)
        told.append(f"{grits}; {work(found.all_s)} in all.")
    if turns is not None:
        first = "show face" if turns.starts == "show" else "underside"
        told.append(f"Turn over {counted(turns.fewest, 'time')} at the fewest, first with the {first} up.")
    return " ".join(told)


def coats(sheet: Sheet, results: Results, sizes: Sizes) -> dict[str, Any]:
    """Return the coats with their hours from the first one, room for the clock, and what they take."""
    found, times, plan = results.coats, results.coat_times, results.coat_plan
    if found is None or times is None or plan is None:
        return {"rows": [], "line": sentence(sizes.text(why_not(sheet, "coats"))), "use": "", "notes": ()}
    rows = [
        [
            str(coat.coat), coat.where, after(coat.earliest_s) if coat.earliest_s else "start",
            "" if not coat.earliest_s else "no latest" if coat.latest_s is None else by(coat.latest_s),
        ]
        for coat in plan.calendar
    ]  # fmt: skip
    build = f", a build coat {sizes.amount(found.build_coat_l, 'L', 'up')}" if found.build_coats else ""
    warm = plan.least_surface_c
    cold = f" Wood not colder than {sizes.temperature(warm)}." if warm is not None else ""
    return {
        "line": (
            f"{sizes.amount(found.total_l, 'L', 'up')} in all: a sealing coat"
            f" {sizes.amount(found.sealing_coat_l, 'L', 'up')}{build}. Next coat"
            f" {_window(times.recoat_from_s, times.recoat_to_s)}.{cold}"
        ),
        "rows": rows,
        "use": f"Light use {after(times.light_use_s)} after the last coat, full use {after(times.full_s)}.",
        "notes": notes_for_hands(notes_of(sheet, "coats"), sizes),
    }


def _refused(title: str, sheet: Sheet, name: str, sizes: Sizes) -> Block | None:
    why = why_not(sheet, name)
    return Block(title=title, lines=(("None", sentence(sizes.text(why))),)) if why else None
