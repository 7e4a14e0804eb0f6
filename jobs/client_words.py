"""What happens in the shop, in the words of somebody who has ordered a piece.

Only what stands here is told by itself. A stage that a shop wrote itself may be called anything, so the
client hears of it in the shop's own news and not otherwise.
"""

from datetime import date

from jobs.models import Commission, Stage, Wait

STAGES: dict[str, tuple[str, str]] = {
    "survey": ("We measured and agreed the drawing", "measuring and agreeing the drawing"),
    "stock": ("We chose the wood", "choosing the wood"),
    "rough-mill": ("The boards are roughly milled", "rough milling of the boards"),
    "final-mill": ("The boards are milled straight and flat", "milling the boards straight and flat"),
    "parts": ("The parts are cut to size", "cutting the parts to size"),
    "rip": ("The strips are cut", "cutting the strips"),
    "layout": ("The boards are laid out for grain and colour", "laying the boards out for grain and colour"),
    "joinery": ("The joints are cut", "cutting the joints"),
    "dry-fit": ("A trial assembly without glue went together", "a trial assembly without glue"),
    "dry-fit-join": ("A second trial assembly went together", "a second trial assembly"),
    "glue-up": ("The top is glued up", "gluing up"),
    "glue-up-a": ("The first half is glued up", "gluing up the first half"),
    "glue-up-b": ("The second half is glued up", "gluing up the second half"),
    "clamps-off": ("It came out of the clamps", "taking it out of the clamps"),
    "mill-halves": ("Both halves are milled", "milling both halves"),
    "joint-halves": ("The halves are fitted to each other", "fitting the halves to each other"),
    "rough-flatten": ("It is flattened for the first time", "the first flattening"),
    "final-flatten": ("It is flattened to its final thickness", "the final flattening"),
    "stiffeners": ("The steel stiffeners are let in", "letting in the steel stiffeners"),
    "fit-stiffeners": ("The stiffeners are fitted", "fitting the stiffeners"),
    "square-ends": ("The ends are cut square", "cutting the ends square"),
    "tongue": ("The tongues for the ends are cut", "cutting the tongues for the ends"),
    "breadboard-ends": ("The breadboard ends are made", "making the breadboard ends"),
    "breadboard-fit": ("The breadboard ends are fitted", "fitting the breadboard ends"),
    "breadboard-glue": ("The breadboard ends are on", "fixing the breadboard ends"),
    "edge-profile": ("The edges have their shape", "shaping the edges"),
    "sand": ("It is sanded", "sanding"),
    "sand-inside": ("The inner faces are sanded", "sanding the inner faces"),
    "resand": ("It is sanded fine", "fine sanding"),
    "seal": ("A first coat of finish is on", "the first coats of finish"),
    "build": ("Another coat of finish is on", "the next coats of finish"),
    "mark-before": ("It carries our mark", "our mark"),
    "mark-after": ("It carries our mark", "our mark"),
    "refit": ("The stiffeners are back in place", "refitting the stiffeners"),
    "final-check": ("It passed the final check", "the final check"),
    "wrap": ("It is wrapped for the journey", "wrapping it for the journey"),
    "deliver": ("It is delivered", "delivery"),
}
"""By the template's key of a stage: what is said when it is done, and what it is called while it is ahead."""
WAITS: dict[str, str] = {
    "settle": "the wood is getting used to our air",
    "rest": "the milled wood is resting",
    "unclamp": "the glue is setting in the clamps",
    "machine": "the glue is hardening",
    "surface": "moisture is leaving the joints",
    "inserts": "the inserts are bonding",
    "steel": "the coating on the steel is drying",
    "grain": "it is drying between two sandings",
    "recoat": "a coat of finish is drying",
    "full cure": "the finish is curing",
}
"""By kind; what lasts minutes is not told."""
STEPS: dict[str, str] = {
    Commission.Step.ACCEPTED: "The order is confirmed",
    Commission.Step.IN_SHOP: "Work has begun",
    Commission.Step.READY: "Everything is ready",
    Commission.Step.DELIVERED: "Delivered",
    Commission.Step.CANCELLED: "The order was cancelled",
    Commission.Step.DECLINED: "The quote was declined",
}
STANDING: dict[str, str] = {
    Commission.Step.ENQUIRY: "We are looking at what you asked for",
    Commission.Step.QUOTED: "Our quote is with you",
    Commission.Step.ACCEPTED: "Ordered; work begins soon",
    Commission.Step.IN_SHOP: "In the workshop",
    Commission.Step.READY: "Ready for delivery",
    Commission.Step.DELIVERED: "Delivered",
    Commission.Step.CLOSED: "Delivered",
    Commission.Step.CANCELLED: "Cancelled",
    Commission.Step.DECLINED: "Declined",
}


def done_words(stage: Stage) -> str:
    """What is said of a stage that is done; nothing for one that is the shop's own business."""
    return "" if _own(stage) else STAGES.get(stage.spec["template_key"], ("", ""))[0]


def ahead_words(stage: Stage) -> str:
    return "" if _own(stage) else STAGES.get(stage.spec["template_key"], ("", ""))[1]


def wait_words(wait: Wait) -> str:
    return "" if wait.stage.spec["owner_only"] else WAITS.get(wait.kind, "")


def _own(stage: Stage) -> bool:
    return bool(stage.title_ref or stage.spec["owner_only"])


def day_words(day: date, today: date) -> str:
    """A day on paper: "Thursday 4 March", with the year where it is another."""
    year = "" if day.year == today.year else f" {day.year}"
    return f"{day:%A} {day.day} {day:%B}{year}"


def capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def sentence(text: str) -> str:
    return capital(text) + "."


def both(parts: list[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
