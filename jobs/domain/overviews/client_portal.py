"""The client's page of one commission, without costs, remarks or other clients."""

from datetime import date, datetime
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from jobs.core.errors import NotFound
from jobs.core.postal_addresses import address_lines
from jobs.domain.clients.portal_wording import (
    STANDING,
    ahead_words,
    both,
    day_words,
    done_words,
    in_few_sentences,
    sentence,
    wait_words,
)
from jobs.domain.clients.updates import pictures_of
from jobs.domain.overviews.client_portal_papers import MADE, Picks, offers_of, papers_of, to_pay
from jobs.domain.overviews.client_portal_steps import (
    approvals,
    by_day,
    contacts,
    hero,
    moves_of,
    opened_diary,
    steps,
    told_diary,
    woods,
)
from jobs.domain.overviews.ready_date import ReadyDate, ready_date
from jobs.domain.pieces import care
from jobs.domain.planning.appointments import day_words as date_words
from jobs.domain.planning.queries import told_to_client
from jobs.domain.settings import profile, terms_for
from jobs.domain.waits.cut_short import CutShort, cut_short
from jobs.domain.waits.full_cure import KIND as FULL_CURE
from jobs.domain.waits.queries import Read, read_routes
from jobs.domain.waits.route import estimate_of, is_over
from jobs.log.private_texts import Texts, refs_of
from jobs.models import (
    ClientUpdate,
    Commission,
    Picture,
    ShopProfile,
    Stage,
)

ACCEPTED = Commission.Step.ACCEPTED
STEPS_TOLD = (ACCEPTED, Commission.Step.IN_SHOP)


def client_page(commission: Commission, *, now: datetime, picks: Picks | None = None) -> dict[str, Any]:
    """Return everything on the page, in a fixed number of queries.

    The only days ahead on it are the promised one, dates that were told, and what the shop wrote.
    ``picks`` are the alternatives that are ticked.
    """
    read = read_of(commission)
    updates = list(commission.updates.all())
    questions = list(commission.questions.all())
    shop = profile()
    texts = Texts(refs_of([commission, commission.client, *([shop] if shop else []), *updates, *questions]))
    pieces = [r.piece for r in read.routes]
    news = _News(commission, read, now, cut_short(commission))
    shown, moves = pictures_of(updates), moves_of(commission)
    steps_told = [move for move in moves if not news.tells(move.data["to"])]
    told = [
        *opened_diary(commission, steps_told), *news.done(), *told_diary(updates, questions, texts, shown),
    ]  # fmt: skip
    today = timezone.localtime(now).date()
    agreed = [timezone.localtime(move.occurred_at).date() for move in moves if move.data["to"] == ACCEPTED]
    offers = offers_of(commission, today=today, picks=picks or {})
    return {
        "shop": _shop(shop, texts, texts[commission.client.country_ref]),
        "number": commission.number,
        "title": texts[commission.title_ref],
        "standing": STANDING[commission.step],
        "woods": woods(pieces),
        "promised": _promised(commission, today),
        "dates": [
            {"kind": one.kind, "says": date_words(one.day, one.starts_at)}
            for one in told_to_client(commission.id, today)
        ],
        "hero": hero(read, _newest_picture(updates, shown)),
        "steps": steps(commission, read, agreed_on=agreed[-1] if agreed else None, today=today),
        "offers": offers,
        "is_offered": any(offer["is_open"] for offer in offers),
        "approvals": approvals(commission, read),
        "to_pay": to_pay(commission, today=today),
        "now": news.now(with_days=False),
        "next": news.ahead(),
        "days": by_day(told),
        "waiting": [texts[q.words_ref] for q in questions if q.settled_at is None],
        "papers": papers_of(commission, today=today),
        "care": [
            {"label": read.texts[p.label_ref], **vars(care.care_of(p))}
            for p in pieces
            if commission.step in MADE
        ],
        "air": care.AIR,
    }


def _promised(commission: Commission, today: date) -> str:
    """Return the promised day in words, while it lies ahead of the delivery."""
    if commission.promise_on is None or commission.step not in (*STEPS_TOLD, Commission.Step.READY):
        return ""
    return day_words(commission.promise_on, today)


def _newest_picture(updates: list[ClientUpdate], shown: dict[int, Picture]) -> int | None:
    """Return the picture that the client was shown last."""
    chosen = [key for update in updates for key in update.pictures if key in shown]
    return chosen[-1] if chosen else None


def _shop(shop: ShopProfile | None, texts: Texts, country: str) -> dict[str, Any]:
    names = ("name", "address", "postcode", "city", "country", "contact", "email", "payment", "terms")
    told = {n: texts[getattr(shop, f"{n}_ref")] if shop else "" for n in names}
    return {
        **{name: told[name] for name in ("name", "payment")},
        "terms": terms_for(country, told["terms"]),
        "address": "\n".join(address_lines(told)),
        "contacts": contacts(told["contact"], told["email"]),
    }


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

    def tells(self, step: str) -> bool:
        """Return whether a finished stage tells of this step already: that the piece is delivered."""
        stages = [s for r in self.read.routes for s in r.stages if s.spec["marks"] == "delivered"]
        told = [s for s in stages if s.step == Stage.Step.DONE and done_words(s)]
        return bool(step == Commission.Step.DELIVERED and told)

    def now(self, *, with_days: bool = True) -> list[str]:
        """Return the running waits, and a finish that still cures although its wait was ended early.

        Their days are the shop's to know; it tells them as it likes.
        """
        found = []
        for route in self.read.routes:
            for wait in route.waits if self.live else []:
                if (said := wait_words(wait)) and not is_over(wait, self.moment):
                    found.append(self._of(f"{said}{self._until(wait) if with_days else ''}", route))
            for cure in self.cures if self.made else []:
                if cure.wait.stage.piece_id == route.piece.id and (said := wait_words(cure.wait)):
                    until = self._until_about(cure.until) if with_days else ""
                    found.append(self._of(f"{said}{until}", route))
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
        return _("later than the agreed %(agreed)s, we are sorry: not before %(day)s") % {
            "agreed": agreed,
            "day": day_words(later, today),
        }
    if soonest and today < soonest < promised:
        return _("between %(soonest)s and %(promised)s, the agreed date") % {
            "soonest": day_words(soonest, today),
            "promised": day_words(promised, today),
        }
    return _("by %(day)s, the agreed date") % {"day": day_words(promised, today)}


def the_shown_picture(commission: str, key: int) -> Picture:
    """Return a picture that was chosen for the client of this commission; refuse any other."""
    updates = ClientUpdate.objects.filter(commission__number=commission)
    found = pictures_of(updates).get(key)
    if found is None:
        raise NotFound(_("there is no such picture"), field="picture", value=key)
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
