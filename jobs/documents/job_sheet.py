"""The job sheet: for each piece what is cut, slotted, glued, clamped, coated, lifted and ticked off."""

from collections.abc import Callable
from typing import Any

from django.utils.safestring import SafeString, mark_safe

<<<<<<< HEAD
from calcs.asking.figure_wording import format_figure, format_source, format_time
from calcs.handling.lifting import carried_by
from calcs.kit.units import format_about, format_length
from calcs.lumber.boards import bought_of, bought_words
=======
from calcs.asking.figure_wording import source_told
from jobs.documents.job_sheet_cells import Figures, both_units_of, sentence, sentences
from jobs.documents.job_sheet_sections import (
    breadboard,
    clamps,
    coats,
    glue,
    lifting,
    lumber,
    movement,
    rip,
    sanding,
    slots,
    stiffeners,
    times,
    turns,
    weight,
)
>>>>>>> 7ca0c53 (Part modules that do two things, and follow the moved names in tests)
from jobs.documents.layout import Frozen, html_of
from jobs.documents.qr import code
from jobs.documents.wording import clean, without_marks

FONTS = "Sans latin, Sans latin-ext, Signs"


def job_sheet_html(frozen: Frozen) -> str:
    """The job sheet of this frozen content: each piece begins a page."""
    return html_of(
        "job_sheet",
        "Job sheet",
        frozen,
        {
            "sheets": [_sheet(sheet) for sheet in frozen["sheets"]],
            "first": frozen["first"],
            "sources": _sources(frozen["sheets"]),
        },
    )


def _sheet(sheet: Figures) -> dict[str, Any]:
    sections = [
        {
            **made,
            "notes": sentences(sheet[key]["notes"]),
            "draw_after": key == "rip_list",
        }
        for key, title, lay in SECTIONS
        if (made := _section(sheet[key], title, lay))
    ]
    return {
        "number": sheet["piece"],
        "label": clean(sheet["label"]),
        "quantity": sheet["quantity"],
        "revision": sheet["revision"],
        "size": " × ".join(both_units_of(sheet[f"{side}_len"]) for side in ("length", "width", "thickness")),
        "about": [
            {"name": name, "text": clean(text)}
            for name, text in (
                ("Wood", sheet["species"]),
                ("Edge", sheet["edge_profile"]),
                ("Joints", sheet["joinery"]),
                ("Glue and finish", ", ".join(sheet["products"])),
            )
            if text
        ],
        "drawing": drawn(sheet["drawing"]),
        "code": code(sheet["next"], says=f"Code to scan: what is to be done next on {sheet['piece']}"),
        "next": sheet["next"],
        "sections": sections,
        "checklist": [
            {
                "title": clean(t["title"]),
                "checks": t["checks"],
                "notes": t["notes"],
                "waits": not t["needs_hands"],
            }
            for t in sheet["checklist"]
        ],
        "warnings": sentences(sheet["warnings"]),
        "cautions": [{**c, "text": sentence(without_marks(c["text"]))} for c in sheet["cautions"]],
    }


def drawn(svg: str) -> SafeString:
    """A drawing of ours in the fonts of the paper."""
    return mark_safe(svg.replace("system-ui, sans-serif", FONTS))


def _section(kept: Figures, title: str, lay: Callable[[Figures], dict[str, Any]]) -> dict[str, Any] | None:
    """A section, or why there is none; nothing for what is not of this piece."""
    if kept["figures"] is None:
        if kept["why"] == "not figured for this piece":
            return None
        return {"title": title, "lines": [{"name": "", "text": sentence(kept["why"])}], "tables": []}
    made = lay(kept["figures"])
    lines = [{"name": n, "text": t} for n, t in made.get("lines", []) if t]
    return {"title": title, "lines": lines, "tables": [t for t in made.get("tables", []) if t["rows"]]}


def _sources(sheets: list[Figures]) -> list[dict[str, str]]:
    """Of each part once, for all pieces."""
    found = []
    for key, title, _ in SECTIONS:
        told_once = dict.fromkeys(format_source(s) for sheet in sheets for s in sheet[key]["source"])
        if told_once:
            found.append({"title": title, "text": "; ".join(told_once)})
    cautions = [caution for sheet in sheets for caution in sheet["cautions"] if caution["source"]]
    if cautions:
        told_once = dict.fromkeys(f"{caution['title']}: {caution['source']}" for caution in cautions)
        found.append({"title": "Cautions", "text": "; ".join(told_once)})
    return found


<<<<<<< HEAD
def _sentence(text: str) -> str:
    text = clean(text)
    return f"{text[:1].upper()}{text[1:]}".rstrip(".") + "." if text else ""


def _sentences(lines: list[str]) -> list[str]:
    return [_sentence(without_marks(line)) for line in lines]


def _both(units: int | None, write: Callable[[int, str], str] = format_length) -> str:
    return f"{write(units, 'in')} ({write(units, 'mm')})".replace(" ", NBSP) if units is not None else "-"


def _length(units: int) -> dict[str, str]:
    return {"text": inches(units), "under": millimetres(units)}


def _about(units: int) -> dict[str, str]:
    return {"text": format_about(units, "in"), "under": format_about(units, "mm")}


def _told(end: str, value: Any) -> str:
    """An amount in both systems, kept on one line."""
    return format_figure(end, Decimal(value)).replace(" ", NBSP)


def _amount(end: str, value: Any) -> dict[str, str]:
    first, _, second = format_figure(end, Decimal(value)).partition(" (")
    return {"text": first, "under": second.removesuffix(")")}


def _time(figures: Figures, name: str) -> str:
    """A time of these figures, no nearer than a bench clock shows it."""
    seconds = figures.get(name)
    if seconds is None:
        return ""
    return format_time(name, seconds) if seconds else "at once"


def _from_to(figures: Figures, start: str, end: str = "") -> str:
    until = _time(figures, end)
    return f"{_time(figures, start)} to {until}" if until else f"{_time(figures, start)} or later"


def _cell(text: Any) -> dict[str, str]:
    return {"text": clean(str(text)), "under": ""}


def _table(head: list[str], rows: Rows, *, caption: str = "") -> dict[str, Any]:
    return {"head": head, "rows": rows, "caption": caption}


def _lumber(f: Figures) -> dict[str, Any]:
    waste = f" with {f['waste_pct']} % for waste" if f.get("waste_pct") else ""
    return {
        "lines": [
            ("Boards", f"{f['boards']} of {f['quarters']}{_sizes(f)}"),
            ("To buy", f"{f['buy_bf']} board ft{waste}; {f['net_bf']} board ft in the finished top"),
            ("Cut to", _both(f["blank_len"]) if f.get("blank_len") else ""),
            ("Then", _sentence("; ".join(f.get("to_do") or []))),
        ]
    }


def _sizes(f: Figures) -> str:
    """Return the boards to buy by their length; sheets that were frozen earlier have none."""
    return f": {bought_words(bought_of(f))}" if f.get("to_buy") else ""


def _rip(f: Figures) -> dict[str, Any]:
    rows = [
        [
            {"text": s["label"], "under": "", "strong": "1"},
            _length(s["width_len"]),
            _length(s["cut_len"]),
            _cell(s["edges"] or "none"),
            _cell(s["rings"]),
        ]
        for s in f["strips"]
    ]
    return {
        "lines": [
            ("Together", _both(f["sum_len"])),
            ("Planing", _sentence(f.get("planing", ""))),
            ("Witness mark", _sentence(f.get("witness", ""))),
        ],
        "tables": [_table(["Strip", "Width", "Cut to", "Slots in edge", "Year rings"], rows)],
    }


def _slots(f: Figures) -> dict[str, Any]:
    marks = [_both(p) for p in f["positions_len"]]
    return {
        "lines": [
            ("Joiner", f"{f['joiner']}; {f['pieces']} in {f['joints']} joints, have {f['buy']} at hand"),
            ("Each slot", _each_slot(f)),
            ("Rows, from the show face", ", ".join(_both(r) for r in f["rows_len"])),
            ("Centres, from the finished end", "; ".join(marks)),
        ]
    }


def _each_slot(f: Figures) -> str:
    return f"{_both(f['along_len'])} along, {_both(f['depth_len'])} into each edge"


def _glue(f: Figures) -> dict[str, Any]:
    rows = [
        [_cell(s["number"]), _cell(s["round"]), _cell(", ".join(s["joins"])), _cell(s["makes"]),
         _length(s["width_len"]), _cell(_time(s, "assembly_s")), _amount("_ml", s["glue_ml"])]
        for s in f["stages"]
    ]  # fmt: skip
    many = "in one go" if f.get("one_go") else f"in {f['rounds']} rounds, so that each closes in time"
    return {
        "lines": [
            ("Glue", f"{_told('_ml', f['glue_ml'])}; {_told('_g', f['glue_g'])}"),
            ("Time today", f"open {_time(f, 'open_s')}, closed {_time(f, 'closed_s')}"),
            ("How", many),
        ],
        "tables": [_table(["No.", "Round", "Joins", "Makes", "Width", "Spread and closed in", "Glue"], rows)],
    }


def _times(f: Figures) -> dict[str, Any]:
    asked = (
        ("Scrape the squeeze-out", _from_to(f, "scrape_from_s", "scrape_to_s")),
        ("Clamps off", _from_to(f, "unclamp_s")),
        ("Machine", _from_to(f, "machine_s")),
        ("Final surfacing", _from_to(f, "surface_s")),
        ("Fully cured", _from_to(f, "full_s")),
    )
    rows = [[_cell(what), _cell(when), WRITE, WRITE] for what, when in asked]
    return {
        "lines": [("Why so", _sentence(f.get("reason", "")))],
        "tables": [_table(["After the last clamp", "When", "Clock says", "Done at"], rows)],
    }


WRITE = {"text": "", "under": "", "write": "1"}


def _clamps(f: Figures) -> dict[str, Any]:
    rows = [[_cell(n), _about(p["at_len"]), _cell(p["side"])] for n, p in enumerate(f["places"], 1)]
    half = -(-len(rows) // 2)
    apart = _both(f["spacing_len"], format_about)
    pairs = [a + b for a, b in zip(rows[:half], [*rows[half:], [_cell("")] * 3], strict=False)]
    return {
        "lines": [
            ("Clamps", f"{f['count']} that reach {_both(f['reach_len'])}, {apart} apart"),
            ("Each at least", _told("_n", f["each_least_n"])),
            ("Gives", f"{_told('_kpa', f['achieved_least_kpa'])} at least"),
            ("Cauls at", "; ".join(_both(c, format_about) for c in f["cauls_at_len"])),
            ("Measured", 'places and spacing to the nearest 1/4" or 5 mm, which is near enough for clamps'),
        ],
        "tables": [_table(["No.", "From the end", "Side", "No.", "From the end", "Side"], pairs)],
    }


def _stiffeners(f: Figures) -> dict[str, Any]:
    bolts = [
        [
            _length(b["at_len"]),
            _cell("fixed, round hole" if b["fixed"] else "slides"),
            _length(b["slot"]["slot_len"]) if not b["fixed"] else _cell("-"),
        ]
        for b in f["bolts"]
    ]
    recess = " × ".join(_both(f[f"recess_{side}_len"]) for side in ("length", "wide"))
    deep = f"{_both(f['recess_deep_len'])} deep, {_both(f['recess_middle_len'])} in the middle"
    return {
        "lines": [
            ("Channels", f"{f['count']}, each {_both(f['channel_len'])}"),
            ("Centres from the finished end", "; ".join(_both(p) for p in f["places_len"])),
            ("Recess", f"{recess}, {deep}"),
        ],
        "tables": [_table(["Bolt along the channel", "How", "Slot"], bolts)],
    }


def _breadboard(f: Figures) -> dict[str, Any]:
    return {"lines": [(_name(n), format_figure(n, v)) for n, v in f.items() if isinstance(v, str | int)]}


def _name(key: str) -> str:
    return re.sub(r"_(len|s|pct|kg|l)$", "", key).replace("_", " ").capitalize()


def _sanding(f: Figures) -> dict[str, Any]:
    rows = [[_cell(s["grade"]), _cell(s["discs"]), _cell(_time(s, "all_s"))] for s in f["ladder"]]
    return {
        "lines": [("In all", f"{f['discs']} discs, {_time(f, 'all_s')}")],
        "tables": [_table(["Grit", "Discs", "Time"], rows)],
    }


def _coats(f: Figures) -> dict[str, Any]:
    rows = [
        [_cell(c["coat"]), _cell(c["where"]), _cell(_earliest(c)), _cell(_latest(c)), WRITE]
        for c in f.get("calendar", [])
    ]
    surface = f.get("least_surface_c")
    return {
        "lines": [
            ("Finish", f"{_told('_l', f['total_l'])} in all, {f['cans']} cans of {_told('_l', f['can_l'])}"),
            ("A coat", f"sealing {_told('_l', f['sealing_coat_l'])}, build {_told('_l', f['build_coat_l'])}"),
            ("Between coats", _from_to(f, "recoat_from_s", "recoat_to_s")),
            ("Light use, full use", f"{_time(f, 'light_use_s')}, {_time(f, 'full_s')}"),
            ("Wood not colder than", format_figure("surface_c", Decimal(surface)) if surface else ""),
        ],
        "tables": [
            _table(
                ["Coat", "Where", "Earliest", "Latest", "Done at"],
                rows,
                caption="Counted from the first coat:",
            )
        ],
    }


def _earliest(coat: Figures) -> str:
    return _time(coat, "earliest_s") if coat["earliest_s"] else "start"


def _latest(coat: Figures) -> str:
    if not coat["earliest_s"]:
        return ""
    return "no latest" if coat["latest_s"] is None else _time(coat, "latest_s")


def _movement(f: Figures) -> dict[str, Any]:
    moisture = f"{f['mc_from']} % to {f['mc_to']} % moisture"
    return {"lines": [("Over the year", f"{_both(f['change_len'])} across the grain, {moisture}")]}


def _weight(f: Figures) -> dict[str, Any]:
    return {"lines": [("Each", f"{f['each_lb']} lb ({f['each_kg']} kg)")]}


def _lifting(f: Figures) -> dict[str, Any]:
    people = f["people"]
    team = "Three people may lift" if people is None else "Together they may lift" if people > 1 else ""
    return {
        "lines": [
            ("Lifted by", carried_by(people).capitalize()),
            ("One person alone may lift", f"{f['limit_lb']} lb ({f['limit_kg']} kg)"),
            *([(team, f"{f['team_limit_lb']} lb ({f['team_limit_kg']} kg)")] if team else []),
        ]
    }


def _turns(f: Figures) -> dict[str, Any]:
    first = "show face" if f["starts"] == "show" else "underside"
    steps = [s["what"] for s in f["steps"]]
    return {
        "lines": [
            ("Turns", f"{f['fewest']} at the fewest, first with the {first} up"),
            ("In this order", _sentence("; ".join(steps))),
        ]
    }


=======
>>>>>>> 7ca0c53 (Part modules that do two things, and follow the moved names in tests)
SECTIONS: tuple[tuple[str, str, Callable[[Figures], dict[str, Any]]], ...] = (
    ("lumber", "Lumber", lumber),
    ("rip_list", "Rip list", rip),
    ("slots", "Slots", slots),
    ("glue", "Glue-up", glue),
    ("glue_times", "Times of the glue", times),
    ("clamps", "Clamps", clamps),
    ("stiffeners", "Stiffeners", stiffeners),
    ("breadboard", "Breadboard ends", breadboard),
    ("sanding", "Sanding", sanding),
    ("coats", "Coats", coats),
    ("movement", "Movement", movement),
    ("weight", "Weight", weight),
    ("lifting", "Lifting", lifting),
    ("turns", "Turning over", turns),
)
"""Parts of a sheet in the order of the work, and how each is laid out."""
