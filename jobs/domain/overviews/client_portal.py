"""The client's page of one commission, without costs, remarks or other clients."""

from datetime import date, datetime
from itertools import groupby
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from jobs.core.errors import NotFound
from jobs.core.postal_addresses import address_lines
from jobs.domain.clients.portal_wording import (
    STANDING,
    STEPS,
    ahead_words,
    both,
    capital,
    day_words,
    done_words,
    in_few_sentences,
    sentence,
    wait_words,
)
from jobs.domain.clients.updates import pictures_of
from jobs.domain.overviews.client_portal_papers import MADE, offers_of, papers_of
from jobs.domain.overviews.ready_date import ReadyDate, ready_date
from jobs.domain.pieces import care
from jobs.domain.settings import profile
from jobs.domain.waits.cut_short import CutShort, cut_short
from jobs.domain.waits.full_cure import KIND as FULL_CURE
from jobs.domain.waits.queries import Read, read_routes
from jobs.domain.waits.route import estimate_of, is_over
from jobs.log.private_texts import Texts, refs_of
from jobs.models import (
    ClientQuestion,
    ClientUpdate,
    Commission,
    Event,
    Picture,
    ShopProfile,
    Stage,
)

STEPS_TOLD = (Commission.Step.ACCEPTED, Commission.Step.IN_SHOP)
TAKEN_BACK = ("acceptance_taken_back", "decline_taken_back")


def client_page(commission: Commission, *, now: datetime) -> dict[str, Any]:
    """Return everything on the page, in a fixed number of queries."""
    read = read_of(commission)
    updates = list(commission.updates.all())
    questions = list(commission.questions.all())
    shop = profile()
    texts = Texts(refs_of([commission, *([shop] if shop else []), *updates, *questions]))
    pieces = [r.piece for r in read.routes]
    early = cut_short(commission)
    news = _News(commission, read, now, early)
    ready = expected_words(ready_date(commission, read, now=now, early=early), commission, now)
    told = [*_steps(commission), *news.done(), *_told(updates, questions, texts, pictures_of(updates))]
    return {
        "shop": _shop(shop, texts),
        "number": commission.number,
        "title": texts[commission.title_ref],
        "standing": STANDING[commission.step],
        "expected": capital(ready),
        "offers": offers_of(commission, today=timezone.localtime(now).date()),
        "now": news.now(),
        "next": news.ahead(),
        "days": _by_day(told),
        "waiting": [texts[q.words_ref] for q in questions if q.settled_at is None],
        "papers": papers_of(commission),
        "care": [
            {"label": read.texts[p.label_ref], **vars(care.care_of(p))}
            for p in pieces
            if commission.step in MADE
        ],
        "air": care.AIR,
    }


def _shop(shop: ShopProfile | None, texts: Texts) -> dict[str, str]:
    names = ("name", "address", "postcode", "city", "country", "contact")
    told = {n: texts[getattr(shop, f"{n}_ref")] if shop else "" for n in names}
    return {"name": told["name"], "address": "\n".join(address_lines(told)), "contact": told["contact"]}


def read_of(commission: Commission) -> Read:
    """Return the routes of a commission's pieces."""
    pieces = list(commission.pieces.order_by("number"))
    for piece in pieces:
        piece.commission = commission
    return read_routes(pieces)


class _News:
    """Finished, running and coming work, in the client's words."""

    def __init__(self, commission: Commission, read: Read, now: datetime, early: list[CutShort]) -> None:
        self.read = read
        self.cures = [one for one in early if one.wait.kind == FULL_CURE and one.until > now]
        self.made = commission.step in MADE
        self.moment = now
        self.today = timezone.localtime(now).date()
        self.live = commission.step in STEPS_TOLD
        self.several = len(read.routes) > 1

    def _of(self, text: str, route: Any) -> str:
        return f"{self.read.texts[route.piece.label_ref]}: {text}" if self.several else text

    def done(self, since: datetime | None = None) -> list[dict[str, Any]]:
        """Return the entries of finished stages as they stand now; redone work appears again."""
        return [
            {"at": s.finished_at, "text": sentence(self._of(said, r))}
            for r in self.read.routes
            for s in r.stages
            if s.step in (Stage.Step.DONE, Stage.Step.WAITING)
            and s.finished_at
            and (since is None or s.finished_at > since)
            and (said := done_words(s))
        ]

    def now(self) -> list[str]:
        """Return the running waits, and a finish that still cures although its wait was ended early."""
        found = []
        for route in self.read.routes:
            for wait in route.waits if self.live else []:
                if (said := wait_words(wait)) and not is_over(wait, self.moment):
                    found.append(self._of(f"{said}{self._until(wait)}", route))
            for cure in self.cures if self.made else []:
                if cure.wait.stage.piece_id == route.piece.id and (said := wait_words(cure.wait)):
                    found.append(self._of(f"{said}{self._until_about(cure.until)}", route))
        return list(dict.fromkeys(found))

    def _until_about(self, moment: datetime) -> str:
        last = timezone.localtime(moment).date()
        return _(", until about %(day)s") % {"day": day_words(last, self.today)}

    def _until(self, wait: Any) -> str:
        estimate = estimate_of(wait)
        if estimate is None or estimate.ready_at is None:
            return ""
        first, last = (
            timezone.localtime(at or estimate.ready_at).date()
            for at in (estimate.earliest_at, estimate.latest_at)
        )
        if first >= last:
            return self._until_about(estimate.latest_at or estimate.ready_at)
        return _(", until some day from %(first)s to %(last)s") % {
            "first": day_words(first, self.today),
            "last": day_words(last, self.today),
        }

    def ahead(self) -> list[str]:
        """Return the next piece of work on each piece."""
        if not self.live:
            return []
        found = []
        for route in self.read.routes:
            said = [
                words
                for s in route.stages
                if s.step in (Stage.Step.PLANNED, Stage.Step.UNDER_WAY) and (words := ahead_words(s))
            ]
            found += [self._of(said[0], route)] if said else []
        return list(dict.fromkeys(found))


def expected_words(found: ReadyDate, commission: Commission, now: datetime) -> str:
    """Return the expected date in words: a range from the soonest day to the agreed one."""
    today = timezone.localtime(now).date()
    promised, soonest = found.promised, found.soonest
    if commission.step not in STEPS_TOLD:
        ready = commission.step == Commission.Step.READY and promised is not None
        return (
            _("delivery is planned for %(day)s") % {"day": day_words(promised, today)}
            if ready and promised
            else ""
        )
    if promised is None:
        return (
            _("no date is agreed yet; not before %(day)s") % {"day": day_words(soonest, today)}
            if soonest
            else ""
        )
    if promised < today or found.late:
        later = max(d for d in (soonest, today) if d)
        agreed = day_words(promised, today)
        return _("later than agreed (%(agreed)s), we are sorry: not before %(day)s") % {
            "agreed": agreed,
            "day": day_words(later, today),
        }
    if soonest and today < soonest < promised:
        return _("between %(soonest)s and %(promised)s, the agreed date") % {
            "soonest": day_words(soonest, today),
            "promised": day_words(promised, today),
        }
    return _("by %(day)s, the agreed date") % {"day": day_words(promised, today)}


def _steps(commission: Commission) -> list[dict[str, Any]]:
    stream, kinds = f"commission:{commission.number}", ("commission_moved", *TAKEN_BACK)
    moves: list[Event] = []
    for event in Event.objects.filter(stream=stream, kind__in=kinds).order_by("seq"):
        if event.kind == "commission_moved":
            moves.append(event)
        else:  # an answer that was taken back is not told
            moves.pop()
    found = [
        {"at": e.occurred_at, "text": sentence(str(STEPS[e.data["to"]]))}
        for e in moves
        if e.data["to"] in STEPS
    ]
    return [{"at": commission.opened_at, "text": _("You asked us for this piece.")}, *found]


def the_shown_picture(commission: str, key: int) -> Picture:
    """Return a picture that was chosen for the client of this commission; refuse any other."""
    updates = ClientUpdate.objects.filter(commission__number=commission)
    found = pictures_of(updates).get(key)
    if found is None:
        raise NotFound(_("there is no such picture"), field="picture", value=key)
    return found


def _told(
    updates: list[ClientUpdate], questions: list[ClientQuestion], texts: Texts, shown: dict[int, Picture]
) -> list[dict[str, Any]]:
    asked = [{"at": q.asked_at, "question": texts[q.words_ref]} for q in questions]
    told = [
        {
            "at": u.told_at,
            "words": texts[u.words_ref],
            "pictures": [key for key in u.pictures if key in shown],
        }
        for u in updates
    ]
    return [*asked, *told]


def _by_day(entries: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the entries by day, newest first, with plain notes apart from updates and questions."""

    def day(entry: dict[str, Any]) -> date:
        return timezone.localtime(entry["at"]).date()

    found = []
    ordered = sorted(entries, key=lambda e: e["at"], reverse=True)
    for on, of_day in groupby(ordered, key=day):
        listed = list(of_day)
        found.append(
            {
                "on": on,
                "told": [e for e in listed if "words" in e or "question" in e],
                "noted": list(dict.fromkeys(e["text"] for e in reversed(listed) if "text" in e)),
            }
        )
    return found


def drafted(commission: Commission, *, now: datetime) -> str:
    """Return a drafted update of what happened since the last one; the shop edits it."""
    read, early = read_of(commission), cut_short(commission)
    news = _News(commission, read, now, early)
    last = commission.updates.order_by("-told_at").values_list("told_at", flat=True).first()
    done = [entry["text"] for entry in sorted(news.done(since=last), key=lambda e: e["at"])]
    newest = list(dict.fromkeys(done))[-MOST_TOLD:]
    parts = [" ".join(newest if news.several else in_few_sentences(newest))]
    if running := news.now():
        parts.append(sentence(_("At the moment %(running)s") % {"running": both(running)}))
    if ahead := news.ahead():
        parts.append(sentence(_("Next comes %(ahead)s") % {"ahead": both(ahead)}))
    found = ready_date(commission, read, now=now, early=early)
    if said := expected_words(found, commission, now):
        parts.append(_("When it will be ready: %(said)s.") % {"said": said})
    return "\n\n".join(part for part in parts if part)


MOST_TOLD = 8
"""Number of finished stages in a draft, the newest ones."""
