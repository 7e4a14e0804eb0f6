"""What there is to do: the jobs of the bench in the order of the rule, each with the reason for its place."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models.fields.json import KeyTransform
from django.utils import timezone

from jobs.core.canonical_json import part_of_column
from jobs.domain.commissions.labour_rates import Sized, usual_minutes
from jobs.domain.overviews.ranking import MINE, NOBODYS, OTHERS, Job, rank, why
from jobs.domain.stages.clamps import released_by
from jobs.domain.stages.left_open import still_asked
from jobs.domain.waits.queries import worked_min
from jobs.domain.waits.route import RouteState, estimate_of, is_missed, is_suspect, look_at, times_of
from jobs.domain.waits.wait_lengths import waiting_after
from jobs.log.private_texts import Texts
from jobs.models import Appointment, Piece, Stage, Wait

OPENS, SHUTS = 7, 18
"""Hours in which a shop is open: common practice, no source."""
MADE_WITH = ("glue", "finish_face", "finish_under")
PRODUCT_COLUMNS: dict[str, KeyTransform] = {
    **{f"with_{name}": part_of_column("inputs", name) for name in MADE_WITH},
    "with_strips": part_of_column("computed", "layout", "result", "count"),
}
"""For ``annotate``: the products and the strips of pieces whose inputs are deferred."""
Card = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Found:
    """A job as the rule sees it, and what the bench shows of it."""

    job: Job
    card: Card
    stage: Stage | None = None
    piece: Piece | None = None


def stage_job(route: RouteState, stage: Stage, now: datetime) -> Job | None:
    """Return the job that a stage is now or will be before the shop shuts; None for any other."""
    key = f"stage:{route.piece.number}:{stage.key}"
    if stage.spec["passive"]:
        return None
    if stage.step == Stage.Step.UNDER_WAY:
        return Job(key=key, started_at=stage.started_at, paused=stage.resumed_at is None)
    if still_asked(stage):
        return Job(key=key, asked_at=stage.finished_at)
    if not route.open_to(stage):
        return None
    holding = route.holding(stage)
    opens = opening(holding)
    if any(map(is_suspect, holding)) or opens is None or opens > shuts_at(now):
        return None
    closing = [closes for wait in holding if (closes := times_of(wait)[1])]
    return Job(
        key=key,
        opens_at=opens if opens > now else None,
        closes_at=min(closing, default=None),
        missed=any(is_missed(wait, now) for wait in holding),
        frees_clamps=any(stage.key in released_by(one) for one in route.stages),
        unlocks_h=waiting_after(route, stage, _products(route.piece)) / timedelta(hours=1),
        promise_on=route.piece.commission.promise_on,
    )


def opening(holding: Collection[Wait]) -> datetime | None:
    """Return when the last of these waits lets its stage begin; None where nobody can say."""
    times = [look_at(wait, estimate_of(wait)) or times_of(wait)[0] for wait in holding]
    told = [at for at in times if at is not None]
    if len(told) < len(times):
        return None
    return max(told, default=datetime.min.replace(tzinfo=timezone.get_current_timezone()))


def shuts_at(now: datetime) -> datetime:
    """Return when the shop shuts today, or tomorrow where it has."""
    local = timezone.localtime(now)
    today = local.replace(hour=SHUTS, minute=0, second=0, microsecond=0)
    return today if local < today else today + timedelta(days=1)


def _products(piece: Piece) -> dict[str, Any]:
    told = vars(piece)
    return {name: told[f"with_{name}"] for name in MADE_WITH} if "with_glue" in told else piece.inputs


BLANK: Card = {
    "kind": "", "commission": "", "commission_title": "", "client": "", "promise_on": None, "piece": "",
    "label": "", "wood": None, "stage": "", "title": "", "do": "", "started_at": None, "started_by": "",
    "paused": False, "once_per": "piece", "wait": None, "wait_kind": "", "missed": False, "task": None,
    "offer": "", "paper": "", "asks": [], "given_to": "", "appointment": None, "starts_at": None, "day": None,
    "planned_at": None, "planned_for": [], "plan_why": "", "plan_about": "", "pinned": False,
}  # fmt: skip
"""Every member that a job has, whatever it is about."""


def job_card(view: Card, route: RouteState, stage: Stage, of_plan: Card) -> Card:
    """Return what the bench shows of a stage to work at, and of its place in today's plan."""
    holding = route.holding(stage)
    closing = [wait for wait in holding if times_of(wait)[1]]
    return {
        **BLANK,
        **_named(view),
        "asks": [gate["title"] for gate in still_asked(stage)],
        "kind": "measure" if stage.step in (Stage.Step.WAITING, Stage.Step.DONE) else "stage",
        "given_to": stage.given_to,
        "started_by": stage.started_by if stage.step == Stage.Step.UNDER_WAY else "",
        "wait_kind": (closing or holding)[0].kind if holding else "",
        **of_plan,
    }


def whose(stage: Stage, person: str) -> int:
    """Return whether a stage is given to this person, to another, or to nobody."""
    if not stage.given_to:
        return NOBODYS
    return MINE if stage.given_to == person else OTHERS


DOES = {
    Appointment.Kind.SITE_VISIT: "Visit the site", Appointment.Kind.WOOD: "Collect the wood",
    Appointment.Kind.DELIVERY: "Deliver", Appointment.Kind.OTHER: "Keep a date",
}  # fmt: skip


def date_job(one: Appointment, texts: Texts, wood: Mapping[str, tuple[str, Any]], now: datetime) -> Found:
    """Return the job of keeping a date outside the shop."""
    about = one.commission
    piece, drawn = wood.get(about.number, ("", None)) if about else ("", None)
    card = {
        **BLANK,
        "kind": "appointment",
        "appointment": one.id,
        "do": DOES[Appointment.Kind(one.kind)],
        "title": texts[one.place_ref] or texts[one.note_ref],
        "starts_at": one.starts_at,
        "day": one.day,
        "piece": piece,
        "wood": drawn,
        "commission": about.number if about else "",
        "commission_title": texts[about.title_ref] if about else texts[one.place_ref],
    }
    ahead = one.starts_at if one.starts_at and one.starts_at > now else None
    key = f"appointment:{one.id}"
    return Found(job=Job(key=key, opens_at=ahead, promise_on=one.day), card=card)


def wait_job(view: Card) -> Found:
    """Return the job of testing what may not have set."""
    wait = view["wait"]
    told = {"kind": "wait", "wait": wait["id"], "wait_kind": wait["kind"], "title": wait["title"], "do": ""}
    return Found(job=Job(key=f"wait:{wait['id']}", suspect=True), card={**BLANK, **_named(view), **told})


def task_job(task: Card, wood: Mapping[str, tuple[str, Any]]) -> Found:
    """Return the job of answering a safety question."""
    card = {
        **BLANK,
        "kind": "safety",
        "task": task["id"],
        **{name: task[name] for name in ("commission", "commission_title", "piece", "label", "stage")},
        "title": task["stage_title"],
        "do": task["question"],
        "wood": wood.get(task["commission"], ("", None))[1],
    }
    return Found(job=Job(key=f"task:{task['id']}", is_safety=True, asked_at=task["due_at"]), card=card)


def office_job(office: Card, wood: Mapping[str, tuple[str, Any]]) -> Found:
    """Return the owner's job at the desk on a commission."""
    piece, drawn = wood.get(office["commission"], ("", None))
    names = ("commission", "commission_title", "client", "promise_on", "do", "offer", "paper")
    card = {**BLANK, "kind": "office", **{n: office[n] for n in names}, "piece": piece, "wood": drawn}
    key = f"office:{office['commission']}"
    return Found(job=Job(key=key, at_desk=True, promise_on=office["promise_on"]), card=card)


def _named(view: Card) -> Card:
    return {name: value for name, value in view.items() if name in BLANK}


def _size(piece: Piece) -> Sized:
    told = vars(piece)
    length, width = told["wood_length_len"], told["wood_width_len"]
    return Sized(quantity=piece.quantity, strips=told["with_strips"], length=length, width=width)


def in_order(found: Iterable[Found], now: datetime) -> list[Card]:
    """Return what the bench shows of these jobs, in the order of the rule."""
    listed = sorted(found, key=lambda one: rank(one.job, now))
    sizes = {one.piece.id: _size(one.piece) for one in listed if one.piece is not None}
    minutes = usual_minutes([one.stage for one in listed if one.stage is not None], sizes)
    return [
        {
            **one.card,
            "why": why(one.job, now).word,
            "opens_at": one.job.opens_at,
            "closes_at": one.job.closes_at,
            "missed": one.job.missed,
            "frees_clamps": one.job.frees_clamps,
            "unlocks_h": round(one.job.unlocks_h, 1),
            "minutes": minutes.get(one.stage.id) if one.stage is not None else None,
            "worked_min": worked_min(one.stage, now) if one.stage is not None else None,
        }
        for one in listed
    ]
