"""Figures of a piece while its form is typed into: size, lumber, weight, price, and what to solve first."""

from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from calcs.kit.errors import CalcError
from jobs.core.errors import ShopError
from jobs.domain.pieces.blockers import blockers_of
from jobs.domain.pieces.calculations import compute, title_of
from jobs.domain.pieces.inputs import read_inputs
from jobs.domain.quoting.proposals import cost_of
from jobs.domain.settings import settings
from jobs.models import Person
from jobs.web.kit.calls import units_of
from jobs.web.kit.formatting import length_words, money_words, number_words
from jobs.web.kit.forms import sentence
from jobs.web.kit.stored_translations import told_tax, translate_stored
from jobs.web.pieces.piece_form import LABELS, SIZE, PieceForm
from jobs.web.pieces.summaries import headline


def live_figures(form: PieceForm, person: Person) -> dict[str, Any]:
    """Return board feet, weight and price of what is typed so far, or what is still missing."""
    if not form.is_valid():
        return {"waits": True}
    asked = form.asked()
    missing = [LABELS[name].lower() for name in SIZE if not asked[name].strip()]
    missing += [] if asked["species"].strip() else [_("wood")]
    if missing:
        return {"missing": missing}
    try:
        inputs = read_inputs(form.piece_asked({**asked, "label": "", "stages": ""}), units_of(person))
        computed = compute(inputs)
    except (ShopError, CalcError) as refused:
        label = str(form.fields[refused.field].label) if refused.field in form.fields else ""
        return {"refused": sentence(refused, called=label)}
    return {"live": _live(inputs, computed, person)}


def _live(inputs: dict[str, Any], computed: dict[str, Any], person: Person) -> dict[str, Any]:
    """Return the figures as title, figure and what it rests on; and what has to be solved first."""
    units = units_of(person)
    sizes = " × ".join(length_words(inputs[f"{name}_len"], person) for name in SIZE)
    figures = [(_("Size"), sizes, inputs["species"])]
    if "result" in computed.get("lumber", {}):
        lumber = computed["lumber"]["result"]
        net = _("%(net)s board ft") % {"net": number_words(lumber["net_bf"])}
        figures.append(
            (_("In the top"), net, _("buy %(lumber)s") % {"lumber": headline("lumber", lumber, units)})
        )
    if "result" in computed.get("weight", {}):
        lifted = computed.get("lifting", {}).get("result")
        by = headline("lifting", lifted, units) if lifted else ""
        figures.append((_("Weight"), headline("weight", computed["weight"]["result"], units), by))
    if person.is_owner:
        cost = cost_of(inputs, computed, Decimal(0))
        price = "" if cost is None else money_words(cost.price, settings()["currency"])
        before = _("before hours and %(tax)s") % {"tax": told_tax()}
        about = before if price else _("set prices of wood and supplies under Shop")
        figures.append((_("Materials"), price or _("not known"), about))
    solve = blockers_of(computed)
    named = dict.fromkeys(translate_stored(title_of(one["calculation"])).lower() for one in solve)
    return {"figures": figures, "solve": [_solve(one) for one in solve], "about": list(named)}


def _solve(one: dict[str, Any]) -> str:
    """Return what has to be solved, and the ways out, with the name of its calculation."""
    told = "; ".join([one["says"], *one["ways"]])
    return f"{translate_stored(title_of(one['calculation']))}: {told}."
