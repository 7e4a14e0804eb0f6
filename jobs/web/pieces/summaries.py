"""The headline of a calculation: the one figure that is read most."""

from collections.abc import Callable
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from calcs.asking.figure_lists import lines
from calcs.kit.units import format_length
from jobs.core.units import Units
from jobs.domain.pieces.calculations import figures_of
from jobs.web.kit.formatting import number_words
from jobs.web.pieces.figure_formatting import in_reader_units, time_words, value_words

Result = dict[str, Any]
NOTHING = gettext_lazy("nothing to do")
LIFTED_BY = {
    None: gettext_lazy("cart or hoist"),
    1: gettext_lazy("one person, on edge"),
    2: gettext_lazy("two people, on edge"),
    3: gettext_lazy("three people, on edge"),
}
"""By the number of people: ``calcs.handling.lifting.carried_by`` in the language of the page."""


def headline(name: str, result: Result, units: Units) -> str:
    """Return the headline of a calculation; empty where it has none."""
    if not result:
        return str(NOTHING)
    if name in HEADLINES:
        return HEADLINES[name](result, units)
    read_most = (one for one in lines(figures_of(name), result) if one.figure.headline)
    told = (one for one in read_most if in_reader_units(one.name, units, result))
    return next((value_words(one.name, one.value, units) for one in told), "")


def _lumber(result: Result, units: Units) -> str:
    told = bought = _("%(boards)s boards of %(quarters)s, %(buy_bf)s board ft") % {
        "boards": result["boards"],
        "quarters": result["quarters"],
        "buy_bf": number_words(result["buy_bf"]),
    }
    if result.get("hand_strips"):
        at_hand = len({strip["board"] for strip in result["hand_strips"]})
        told = ngettext(
            "%(at_hand)s board at hand; %(told)s", "%(at_hand)s boards at hand; %(told)s", at_hand
        )
        told %= {"at_hand": at_hand, "told": bought}
    if not result.get("thinner_len"):
        return told
    thick = format_length(result["finished_len"], units.length)
    return f"{told}; {_('comes out only %(thick)s thick') % {'thick': thick}}"


def _layout(result: Result, units: Units) -> str:
    widths, count = [strip["width_len"] for strip in result["strips"]], result["count"]
    if min(widths) < max(widths):
        narrow, wide = (format_length(each(widths), units.length) for each in (min, max))
        return _("%(count)s strips of %(narrow)s to %(wide)s") % {
            "count": count,
            "narrow": narrow,
            "wide": wide,
        }
    return ngettext("%(count)s strip of %(strip_len)s", "%(count)s strips of %(strip_len)s", count) % {
        "count": count,
        "strip_len": format_length(result["strip_len"], units.length),
    }


def _joinery(result: Result, units: Units) -> str:
    places = len(result["positions_len"])
    return _("%(places)s along each joint, %(joiner)s, %(buy)s to buy") % {
        "places": places,
        "joiner": result["joiner"],
        "buy": result["buy"],
    }


def _gluing(result: Result, units: Units) -> str:
    stages = len(result["stages"])
    how = _("in one go") if stages == 1 else _("in %(stages)s clampings") % {"stages": stages}
    return f"{value_words('glue_ml', result['glue_ml'], units)}, {how}"


def _clamping(result: Result, units: Units) -> str:
    return ngettext(
        "%(count)s clamp that reaches %(reach_len)s",
        "%(count)s clamps that reach %(reach_len)s",
        result["count"],
    ) % {
        "count": result["count"],
        "reach_len": format_length(result["reach_len"], units.length),
    }


def _movement(result: Result, units: Units) -> str:
    return _("%(change_len)s between the seasons") % {
        "change_len": format_length(result["change_len"], units.length)
    }


def _curing(result: Result, units: Units) -> str:
    if result["unclamp_s"] is None:
        return _("no ready time")
    unclamp, machine = (time_words(name, result[name]) for name in ("unclamp_s", "machine_s"))
    return _("clamps off after %(unclamp)s, machine after %(machine)s") % {
        "unclamp": unclamp,
        "machine": machine,
    }


def _stiffening(result: Result, units: Units) -> str:
    return ngettext(
        "%(count)s channel of %(channel_len)s", "%(count)s channels of %(channel_len)s", result["count"]
    ) % {
        "count": result["count"],
        "channel_len": format_length(result["channel_len"], units.length),
    }


def _breadboard(result: Result, units: Units) -> str:
    clear = format_length(result["clearance_len"], units.length)
    return _("%(count)s pegs, %(clear)s free at either end of the tongue") % {
        "count": len(result["pegs"]),
        "clear": clear,
    }


def _sanding(result: Result, units: Units) -> str:
    return f"{', '.join(grit['grade'] for grit in result['ladder'])}; {time_words('all_s', result['all_s'])}"


def _finishing(result: Result, units: Units) -> str:
    coats = result["sealing_coats"] + result["build_coats"]
    again = time_words("recoat_from_s", result["recoat_from_s"])
    return ngettext(
        "%(coats)s coat, %(total)s, next coat after %(again)s",
        "%(coats)s coats, %(total)s, next coat after %(again)s",
        coats,
    ) % {
        "coats": coats,
        "total": value_words("total_l", result["total_l"], units),
        "again": again,
    }


def _lifting(result: Result, units: Units) -> str:
    return str(LIFTED_BY[result["people"]])


def _sag(result: Result, units: Units) -> str:
    return _("%(sag)s in years") % {"sag": format_length(abs(result["later_len"]), units.length)}


def _tipping(result: Result, units: Units) -> str:
    if result["least_kg"] is None:
        return _("no load on the edge tips it")
    return _("tips at %(load)s on the edge") % {"load": value_words("least_kg", result["least_kg"], units)}


def _attachment(result: Result, units: Units) -> str:
    most, count = format_length(result["most_len"], units.length), result["count"]
    return ngettext(
        "%(count)s fixing, up to %(most)s of movement", "%(count)s fixings, up to %(most)s of movement", count
    ) % {"count": count, "most": most}


def _access(result: Result, units: Units) -> str:
    return _("goes through") if result["goes"] else _("does not go through")


def _flips(result: Result, units: Units) -> str:
    fewest, saved = result["fewest"], result["saved"]
    says = ngettext("%(fewest)s turn", "%(fewest)s turns", fewest)
    if saved:
        says = ngettext(
            "%(fewest)s turn, %(saved)s fewer than face by face",
            "%(fewest)s turns, %(saved)s fewer than face by face",
            fewest,
        )
    return says % {"fewest": fewest, "saved": saved}


HEADLINES: dict[str, Callable[[Result, Units], str]] = {
    "lumber": _lumber,
    "layout": _layout,
    "joinery": _joinery,
    "gluing": _gluing,
    "clamping": _clamping,
    "movement": _movement,
    "curing": _curing,
    "stiffening": _stiffening,
    "breadboard": _breadboard,
    "sanding": _sanding,
    "finishing": _finishing,
    "lifting": _lifting,
    "sag": _sag,
    "tipping": _tipping,
    "attachment": _attachment,
    "access": _access,
    "flips": _flips,
}
