"""Events in the shop, in words for a client.

Only these stages and waits are told automatically. A stage that a shop wrote may have any title, so a client
hears of it only in updates.
"""

from datetime import date

from django.utils.dateformat import format as date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.models import Commission, Stage, Wait

Words = tuple[str | Promise, str | Promise]

STAGES: dict[str, Words] = {
    "survey": (
        gettext_lazy("We measured and agreed the drawing"),
        gettext_lazy("measuring and agreeing the drawing"),
    ),
    "stock": (gettext_lazy("We chose the wood"), gettext_lazy("choosing the wood")),
    "rough-mill": (
        gettext_lazy("The boards are roughly milled"),
        gettext_lazy("rough milling of the boards"),
    ),
    "final-mill": (
        gettext_lazy("The boards are milled straight and flat"),
        gettext_lazy("milling the boards straight and flat"),
    ),
    "first": (gettext_lazy("The parts are cut to size"), gettext_lazy("cutting the parts to size")),
    "rip": (gettext_lazy("The strips are cut"), gettext_lazy("cutting the strips")),
    "layout": (
        gettext_lazy("The boards are laid out for grain and color"),
        gettext_lazy("laying the boards out for grain and color"),
    ),
    "joinery": (gettext_lazy("The joints are cut"), gettext_lazy("cutting the joints")),
    "dry-fit": (
        gettext_lazy("A trial assembly without glue went together"),
        gettext_lazy("a trial assembly without glue"),
    ),
    "dry-fit-join": (
        gettext_lazy("A second trial assembly went together"),
        gettext_lazy("a second trial assembly"),
    ),
    "glue-up": (gettext_lazy("The top is glued up"), gettext_lazy("gluing up")),
    "glue-up-a": (gettext_lazy("The first half is glued up"), gettext_lazy("gluing up the first half")),
    "glue-up-b": (gettext_lazy("The second half is glued up"), gettext_lazy("gluing up the second half")),
    "clamps-off": (gettext_lazy("It came out of the clamps"), gettext_lazy("taking it out of the clamps")),
    "mill-halves": (gettext_lazy("Both halves are milled"), gettext_lazy("milling both halves")),
    "joint-halves": (
        gettext_lazy("The halves are fitted to each other"),
        gettext_lazy("fitting the halves to each other"),
    ),
    "plane-parts": (gettext_lazy("The glued parts are planed"), gettext_lazy("planing the glued parts")),
    "joint-parts": (
        gettext_lazy("The glued parts are fitted to each other"),
        gettext_lazy("fitting the glued parts to each other"),
    ),
    "rough-flatten": (
        gettext_lazy("It is flattened for the first time"),
        gettext_lazy("the first flattening"),
    ),
    "final-flatten": (
        gettext_lazy("It is flattened to its final thickness"),
        gettext_lazy("the final flattening"),
    ),
    "stiffeners": (
        gettext_lazy("The steel stiffeners are let in"),
        gettext_lazy("letting in the steel stiffeners"),
    ),
    "fit-stiffeners": (gettext_lazy("The stiffeners are fitted"), gettext_lazy("fitting the stiffeners")),
    "square-ends": (gettext_lazy("The ends are cut square"), gettext_lazy("cutting the ends square")),
    "tongue": (
        gettext_lazy("The tongues for the ends are cut"),
        gettext_lazy("cutting the tongues for the ends"),
    ),
    "breadboard-ends": (
        gettext_lazy("The breadboard ends are made"),
        gettext_lazy("making the breadboard ends"),
    ),
    "breadboard-fit": (
        gettext_lazy("The breadboard ends are fitted"),
        gettext_lazy("fitting the breadboard ends"),
    ),
    "breadboard-glue": (
        gettext_lazy("The breadboard ends are on"),
        gettext_lazy("fixing the breadboard ends"),
    ),
    "edge-profile": (gettext_lazy("The edges have their shape"), gettext_lazy("shaping the edges")),
    "sand": (gettext_lazy("It is sanded"), gettext_lazy("sanding")),
    "sand-inside": (gettext_lazy("The inner faces are sanded"), gettext_lazy("sanding the inner faces")),
    "resand": (gettext_lazy("It is sanded fine"), gettext_lazy("fine sanding")),
    "seal": (gettext_lazy("A first coat of finish is on"), gettext_lazy("the first coats of finish")),
    "build": (gettext_lazy("Another coat of finish is on"), gettext_lazy("the next coats of finish")),
    "mark-before": (gettext_lazy("It carries our mark"), gettext_lazy("our mark")),
    "mark-after": (gettext_lazy("It carries our mark"), gettext_lazy("our mark")),
    "refit": (gettext_lazy("The stiffeners are back in place"), gettext_lazy("refitting the stiffeners")),
    "final-check": (gettext_lazy("It passed the final check"), gettext_lazy("the final check")),
    "wrap": (gettext_lazy("It is wrapped for the journey"), gettext_lazy("wrapping it for the journey")),
    "deliver": (gettext_lazy("It is delivered"), gettext_lazy("delivery")),
}
"""By the template's key of a stage: the words once it is done, and the words while it is ahead."""
PARTS: dict[str, Words] = {
    "glue-up": (
        gettext_lazy("A part of the top is glued up"),
        gettext_lazy("gluing up a part of the top"),
    ),
}
"""The same for stages of a glue-up in several clampings before the last."""
WAITS: dict[str, Promise] = {
    "settle": gettext_lazy("the wood is getting used to our air"),
    "rest": gettext_lazy("the milled wood is resting"),
    "unclamp": gettext_lazy("the glue is setting in the clamps"),
    "machine": gettext_lazy("the glue is hardening"),
    "surface": gettext_lazy("moisture is leaving the joints"),
    "inserts": gettext_lazy("the inserts are bonding"),
    "steel": gettext_lazy("the coating on the steel is drying"),
    "grain": gettext_lazy("it is drying between two sandings"),
    "recoat": gettext_lazy("a coat of finish is drying"),
    "full cure": gettext_lazy("the finish is curing"),
}
"""By kind of wait; waits of minutes are left out."""
STEPS: dict[str, Promise] = {
    Commission.Step.ACCEPTED: gettext_lazy("The order is confirmed"),
    Commission.Step.IN_SHOP: gettext_lazy("Work has begun"),
    Commission.Step.READY: gettext_lazy("Everything is ready"),
    Commission.Step.DELIVERED: gettext_lazy("Delivered"),
    Commission.Step.CANCELLED: gettext_lazy("The order was canceled"),
    Commission.Step.DECLINED: gettext_lazy("The quote was declined"),
}
STANDING: dict[str, Promise] = {
    Commission.Step.ENQUIRY: gettext_lazy("We are looking at what you asked for"),
    Commission.Step.QUOTED: gettext_lazy("Our quote is with you"),
    Commission.Step.ACCEPTED: gettext_lazy("Ordered; work begins soon"),
    Commission.Step.IN_SHOP: gettext_lazy("In the workshop"),
    Commission.Step.READY: gettext_lazy("Ready for delivery"),
    Commission.Step.DELIVERED: gettext_lazy("Delivered"),
    Commission.Step.CLOSED: gettext_lazy("Delivered and closed"),
    Commission.Step.CANCELLED: gettext_lazy("Canceled"),
    Commission.Step.DECLINED: gettext_lazy("Declined"),
}


def done_words(stage: Stage) -> str:
    """Return the words for a finished stage; empty for one that the client does not hear of."""
    return "" if _own(stage) else str(_words(stage)[0])


def ahead_words(stage: Stage) -> str:
    return "" if _own(stage) else str(_words(stage)[1])


def _words(stage: Stage) -> Words:
    """Return the words for a stage once it is done and while it is ahead.

    Of several clampings the client hears as of parts, until the last closes the top.
    """
    key, clamping = stage.spec["template_key"], stage.spec.get("clamping")
    if clamping and clamping["number"] < clamping["of"]:
        return PARTS.get(key, ("", ""))
    return STAGES.get(key, ("", ""))


def wait_words(wait: Wait) -> str:
    return "" if wait.stage.spec["owner_only"] else str(WAITS.get(wait.kind, ""))


def _own(stage: Stage) -> bool:
    return bool(stage.title_ref or stage.spec["owner_only"])


def day_words(day: date, today: date) -> str:
    """Return a day as on paper, "Thursday 4 March", with the year where it is not this year."""
    return date_format(day, "l j F" if day.year == today.year else "l j F Y")


def capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def sentence(text: str) -> str:
    return capital(text) + "."


def in_few_sentences(told: list[str]) -> list[str]:
    """Join short sentences, up to three in one, so that the text reads as news and not as a list."""
    count = -(-len(told) // 3)
    size = -(-len(told) // count) if count else 1
    clauses = [text.removesuffix(".") for text in told]
    groups = [clauses[n : n + size] for n in range(0, len(clauses), size)]
    return [sentence(both([first, *(c[:1].lower() + c[1:] for c in others)])) for first, *others in groups]


def both(parts: list[str]) -> str:
    """Return the parts joined as "a", "a and b" or "a, b and c"."""
    return (
        parts[0]
        if len(parts) == 1
        else _("%(first)s and %(last)s") % {"first": ", ".join(parts[:-1]), "last": parts[-1]}
    )
