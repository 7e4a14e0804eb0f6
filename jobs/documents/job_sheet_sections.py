"""Layouts of a job sheet's sections, by calculation."""

from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

from calcs.asking.figure_wording import format_figure
from calcs.handling.lifting import carried_by
from calcs.kit.units import format_about
from calcs.lumber.boards import bought_of, bought_words
from jobs.documents.job_sheet_cells import (
    WRITE,
    Figures,
    about_cell,
    amount_cell,
    both_units_of,
    cell,
    counted,
    from_to,
    length_cell,
    sentence,
    table,
    time_of,
    worded,
)


def lumber(f: Figures) -> dict[str, Any]:
    waste = f" with {f['waste_pct']} % for waste" if f.get("waste_pct") else ""
    return {
        "lines": [
            ("Boards", f"{f['boards']} of {f['quarters']}{_sizes(f)}"),
            ("From the rack", ", ".join(dict.fromkeys(s["board"] for s in f.get("hand_strips") or []))),
            ("To buy", f"{f['buy_bf']} board ft{waste}; {f['net_bf']} board ft in the finished top"),
            ("Thickness", _comes_out(f) if f.get("thinner_len") else ""),
            ("Cut to", both_units_of(f["blank_len"]) if f.get("blank_len") else ""),
            ("Then", sentence("; ".join(f.get("to_do") or []))),
        ]
    }


def _comes_out(f: Figures) -> str:
    thick, less, takes = (
        both_units_of(f[name]) for name in ("finished_len", "thinner_len", "flattening_len")
    )
    return f"comes out only {thick}, {less} less than asked: flattening takes {takes}"


def _sizes(f: Figures) -> str:
    """Return the boards to buy by their length; sheets that were frozen earlier have none."""
    return f": {bought_words(bought_of(f))}" if f.get("to_buy") else ""


def rip(f: Figures) -> dict[str, Any]:
    named = any(s.get("origin") for s in f["strips"])
    rows = [
        [
            {"text": s["label"], "under": "", "strong": "1"},
            length_cell(s["width_len"]),
            length_cell(s["cut_len"]),
            cell(s["edges"] or "none"),
            cell(s["rings"]),
            *([cell(s["origin"])] if named else []),
        ]
        for s in f["strips"]
    ]
    rows += [
        [
            {"text": end["label"], "under": "", "strong": "1"},
            length_cell(end["width_len"]),
            length_cell(end["cut_len"]),
            cell("none"),
            cell("across the top"),
        ]
        for end in f.get("ends") or []
    ]
    return {
        "lines": [
            ("Together", both_units_of(f["sum_len"])),
            ("Planing", sentence(f.get("planing", ""))),
            ("Witness mark", sentence(f.get("witness", ""))),
        ],
        "tables": [
            table(
                ["Strip", "Width", "Cut to", "Slots in edge", "Year rings", *(["From"] if named else [])],
                rows,
            )
        ],
    }


def slots(f: Figures) -> dict[str, Any]:
    marks = [both_units_of(p) for p in f["positions_len"]]
    return {
        "lines": [
            ("Joiner", f"{f['joiner']}; {f['pieces']} in {f['joints']} joints, have {f['buy']} at hand"),
            ("Each slot", _each_slot(f)),
            ("Rows, from the show face", ", ".join(both_units_of(r) for r in f["rows_len"])),
            ("Centres, from the finished end", "; ".join(marks)),
        ]
    }


def _each_slot(f: Figures) -> str:
    along = f.get("slot_len", f["along_len"])
    return f"{both_units_of(along)} along, {both_units_of(f['depth_len'])} into each edge"


def glue(f: Figures) -> dict[str, Any]:
    rows = [
        [cell(s["number"]), cell(s["round"]), cell(", ".join(s["joins"])), cell(s["makes"]),
         length_cell(s["width_len"]), cell(time_of(s, "assembly_s")), amount_cell("_ml", s["glue_ml"])]
        for s in f["stages"]
    ]  # fmt: skip
    many = "in one go" if f.get("one_go") else f"in {f['rounds']} rounds, so that each closes in time"
    return {
        "lines": [
            ("Glue", f"{worded('_ml', f['glue_ml'])}; {worded('_g', f['glue_g'])}"),
            ("Time today", f"open {time_of(f, 'open_s')}, closed {time_of(f, 'closed_s')}"),
            ("How", many),
        ],
        "tables": [table(["No.", "Round", "Joins", "Makes", "Width", "Spread and closed in", "Glue"], rows)],
    }


def times(f: Figures) -> dict[str, Any]:
    asked = (
        ("Scrape the squeeze-out", from_to(f, "scrape_from_s", "scrape_to_s")),
        ("Clamps off", from_to(f, "unclamp_s")),
        ("Machine", from_to(f, "machine_s")),
        ("Final surfacing", from_to(f, "surface_s")),
        ("Fully cured", from_to(f, "full_s")),
    )
    rows = [[cell(what), cell(when), WRITE, WRITE] for what, when in asked]
    return {
        "lines": [("Why so", sentence(f.get("reason", "")))],
        "tables": [table(["After the last clamp", "When", "Clock says", "Done at"], rows)],
    }


def clamps(f: Figures) -> dict[str, Any]:
    rows = [[cell(n), about_cell(p["at_len"]), cell(p["side"])] for n, p in enumerate(f["places"], 1)]
    half = -(-len(rows) // 2)
    apart = both_units_of(f["spacing_len"], format_about)
    pairs = [a + b for a, b in zip(rows[:half], [*rows[half:], [cell("")] * 3], strict=False)]
    return {
        "lines": [
            ("Clamps", f"{f['count']} that reach {both_units_of(f['reach_len'])}, {apart} apart"),
            ("Each at least", worded("_n", f["each_least_n"])),
            ("Gives", f"{worded('_kpa', f['achieved_least_kpa'])} at least"),
            ("Cauls at", "; ".join(both_units_of(c, format_about) for c in f["cauls_at_len"])),
            ("Measured", 'places and spacing to the nearest 1/4" or 5 mm, which is near enough for clamps'),
        ],
        "tables": [table(["No.", "From the end", "Side", "No.", "From the end", "Side"], pairs)],
    }


def stiffeners(f: Figures) -> dict[str, Any]:
    bolts = [
        [
            length_cell(b["at_len"]),
            cell("fixed, round hole" if b["fixed"] else "slides"),
            length_cell(b["slot"]["slot_len"]) if not b["fixed"] else cell("-"),
        ]
        for b in f["bolts"]
    ]
    recess = " × ".join(both_units_of(f[f"recess_{side}_len"]) for side in ("length", "wide"))
    deep = (
        f"{both_units_of(f['recess_deep_len'])} deep, {both_units_of(f['recess_middle_len'])} in the middle"
    )
    return {
        "lines": [
            ("Channels", f"{f['count']}, each {both_units_of(f['channel_len'])}"),
            ("Centres from the finished end", "; ".join(both_units_of(p) for p in f["places_len"])),
            ("Recess", f"{recess}, {deep}"),
        ],
        "tables": [table(["Bolt along the channel", "How", "Slot"], bolts)],
    }


def sanding(f: Figures) -> dict[str, Any]:
    rows = [[cell(s["grade"]), cell(s["discs"]), cell(time_of(s, "all_s"))] for s in f["ladder"]]
    return {
        "lines": [("In all", f"{counted(f['discs'], 'disc')}, {time_of(f, 'all_s')}")],
        "tables": [table(["Grit", "Discs", "Time"], rows)],
    }


def coats(f: Figures) -> dict[str, Any]:
    rows = [
        [cell(c["coat"]), cell(c["where"]), cell(_earliest(c)), cell(_latest(c)), WRITE]
        for c in f.get("calendar", [])
    ]
    surface = f.get("least_surface_c")
    return {
        "lines": [
            (
                "Finish",
                f"{worded('_l', f['total_l'])} in all,"
                f" {counted(f['cans'], 'can')} of {worded('_l', f['can_l'])}",
            ),
            (
                "A coat",
                f"sealing {worded('_l', f['sealing_coat_l'])}, build {worded('_l', f['build_coat_l'])}",
            ),
            ("Film of a coat", _films(f)),
            ("Between coats", from_to(f, "recoat_from_s", "recoat_to_s")),
            ("Turned over between coats", counted(f["turns"], "time") if f.get("turns") else ""),
            ("Light use, full use", f"{time_of(f, 'light_use_s')}, {time_of(f, 'full_s')}"),
            ("Wood not colder than", format_figure("surface_c", Decimal(surface)) if surface else ""),
        ],
        "tables": [
            table(
                ["Coat", "Where", "Earliest", "Latest", "Done at"],
                rows,
                caption="Counted from the first coat:",
            )
        ],
    }


def _films(f: Figures) -> str:
    """Return the wet and dry film of a coat; an older result has neither."""
    found = [
        (worded("_um", f[name]), says) for name, says in (("wet_um", "wet"), ("dry_um", "dry")) if f.get(name)
    ]
    return ", ".join(f"{film} {says}" for film, says in found)


def _earliest(coat: Figures) -> str:
    return time_of(coat, "earliest_s") if coat["earliest_s"] else "start"


def _latest(coat: Figures) -> str:
    if not coat["earliest_s"]:
        return ""
    return "no latest" if coat["latest_s"] is None else time_of(coat, "latest_s")


def movement(f: Figures) -> dict[str, Any]:
    moisture = f"{f['mc_from']} % to {f['mc_to']} % moisture"
    return {"lines": [("Over the year", f"{both_units_of(f['change_len'])} across the grain, {moisture}")]}


def weight(f: Figures) -> dict[str, Any]:
    return {"lines": [("Each", f"{f['each_lb']} lb ({f['each_kg']} kg)")]}


def lifting(f: Figures) -> dict[str, Any]:
    people = f["people"]
    team = "Three people may lift" if people is None else "Together they may lift" if people > 1 else ""
    return {
        "lines": [
            ("Lifted by", carried_by(people).capitalize()),
            ("One person alone may lift", f"{f['limit_lb']} lb ({f['limit_kg']} kg)"),
            *([(team, f"{f['team_limit_lb']} lb ({f['team_limit_kg']} kg)")] if team else []),
        ]
    }


def turns(f: Figures) -> dict[str, Any]:
    first = "show face" if f["starts"] == "show" else "underside"
    steps = [s["what"] for s in f["steps"]]
    return {
        "lines": [
            ("Turns", f"{f['fewest']} at the fewest, first with the {first} up"),
            ("In this order", sentence("; ".join(steps))),
        ]
    }


LAYOUTS: Mapping[str, Callable[[Figures], dict[str, Any]]] = {
    "lumber": lumber,
    "layout": rip,
    "joinery": slots,
    "gluing": glue,
    "curing": times,
    "clamping": clamps,
    "stiffening": stiffeners,
    "sanding": sanding,
    "finishing": coats,
    "movement": movement,
    "weight": weight,
    "lifting": lifting,
    "flips": turns,
}
"""By calculation; a calculation that is not here gets a section of its figures by their titles."""
