"""What lies on a day: planned work, work that is done, dates outside the shop."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils import timezone

from jobs.domain.overviews.plan.names import Key, PlanNames
from jobs.domain.overviews.plan.reasons import why_of
from jobs.domain.planning.appointments import USUAL_MINUTES
from jobs.domain.planning.published import Moved, PlannedWork, Published
from jobs.models import Appointment, Stage

WHOLE_DAY = timedelta(hours=8)
"""How long a date without a clock is drawn: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Block:
    """What some people do on a day. ``state`` is "planned", "going", "done" or "date".

    ``why`` is a key of ``WHY`` and what it is about in words.
    """

    state: str
    day: date
    begins: datetime
    ends: datetime
    people: tuple[str, ...]
    commission: str = ""
    piece: str = ""
    stage: str = ""
    do: str = ""
    title: str = ""
    label: str = ""
    look: str = ""
    part: int = 1
    parts: int = 1
    place: str = ""
    maybe: bool = False
    pinned: bool = False
    moved: Moved | None = None
    why: tuple[str, str] = ("", "")
    appointment: int | None = None
    all_day: bool = False

    @property
    def minutes(self) -> int:
        """Return how long it lasts."""
        return round((self.ends - self.begins) / timedelta(minutes=1))


def day_of(moment: datetime) -> date:
    """Return the day of a moment on the shop's clock."""
    return timezone.localtime(moment).date()


def blocks_of_work(
    work: Iterable[PlannedWork],
    plan: Published,
    names: PlanNames,
    moved: Mapping[Key, Moved],
    *,
    owner: bool,
) -> list[Block]:
    """Return planned work as blocks; what is the owner's alone is left out for others."""
    titles = names.titles
    return [
        Block(
            state="going" if _is_going(one, names) else "planned",
            day=day_of(one.begins),
            begins=one.begins,
            ends=one.ends,
            people=one.people,
            commission=one.commission,
            piece=one.piece,
            stage=one.stage,
            do=names.do(one.piece, one.stage),
            title=names.title(one.piece, one.stage),
            label=names.label(one.piece),
            look=names.look(one.piece),
            part=one.part,
            parts=one.parts,
            place=one.place,
            maybe=one.maybe,
            pinned=one.pinned,
            moved=moved.get((one.piece, one.stage)) if one.part == 1 else None,
            why=why_of(one, plan, titles),
        )
        for one in work
        if owner or not names.is_owners(one.piece, one.stage)
    ]


def _is_going(one: PlannedWork, names: PlanNames) -> bool:
    stage = names.stages.get((one.piece, one.stage))
    return bool(stage and stage.step == Stage.Step.UNDER_WAY and one.part == 1)


def blocks_done(names: PlanNames, first: date, last: date, *, owner: bool) -> list[Block]:
    """Return what was finished in these days, each on the day of its end."""
    found = []
    for (piece, key), stage in names.stages.items():
        ended = stage.finished_at
        if ended is None or stage.step != Stage.Step.DONE or not first <= day_of(ended) <= last:
            continue
        if stage.spec["passive"] or (names.is_owners(piece, key) and not owner):
            continue
        worked = timedelta(minutes=stage.minutes) if stage.minutes is not None else _worked(stage)
        found.append(
            Block(
                state="done",
                day=day_of(ended),
                begins=ended - worked,
                ends=ended,
                people=(stage.finished_by,),
                commission=names.pieces[piece].commission.number,
                piece=piece,
                stage=key,
                do=names.do(piece, key),
                title=names.title(piece, key),
                label=names.label(piece),
                look=names.look(piece),
            )
        )
    return found


def _worked(stage: Stage) -> timedelta:
    return timedelta(seconds=stage.worked_s)


def blocks_of_dates(dates: Iterable[Appointment], names: PlanNames) -> list[Block]:
    """Return dates outside the shop as blocks of those who go."""
    found = []
    for one in dates:
        begins = one.starts_at or timezone.make_aware(datetime(one.day.year, one.day.month, one.day.day, 8))
        usual = timedelta(minutes=one.minutes or USUAL_MINUTES[Appointment.Kind(one.kind)])
        about = one.commission
        found.append(
            Block(
                state="date",
                day=one.day,
                begins=begins,
                ends=begins + (usual if one.starts_at else WHOLE_DAY),
                people=tuple(one.people),
                commission=about.number if about else "",
                do=one.kind,
                title=names.texts[one.place_ref] or names.texts[one.note_ref],
                label=names.texts[about.title_ref] if about else "",
                look="",
                appointment=one.id,
                all_day=one.starts_at is None,
            )
        )
    return found
