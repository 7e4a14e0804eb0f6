"""Reminders of what a client says: a question, a yes to a drawing, a yes or a no. They come at once."""

from abc import abstractmethod
from collections.abc import Collection, Iterable, Mapping
from datetime import datetime
from typing import Any, ClassVar

from django.db.models import Model
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from jobs.domain.reminders.kinds.base import (
    THEIR_WORDS,
    Fact,
    News,
    SubjectKind,
    Telling,
    reminder_kind,
    rows_by,
)
from jobs.domain.reminders.kinds.commissions import about_commission, commission_fact
from jobs.domain.reminders.times import Mornings
from jobs.models import Approval, ClientQuestion, Commission, Event, Offer

CLIENT = "client:"
"""Prefix of an actor who is a client."""
ENDS_OR_LIVES_AGAIN = (*Commission.ENDED, Commission.Step.DELIVERED)
"""Steps that stop or resume the reminders of clients' answers."""


def _questions_of(names: Collection[str] | None) -> Mapping[str, ClientQuestion]:
    """Return the questions of these commissions; every one for None."""
    found = ClientQuestion.objects.all()
    found = found if names is None else found.filter(commission__number__in=names)
    return {str(question.id): question for question in found}


def _offers_of(names: Collection[str] | None) -> Mapping[str, Offer]:
    """Return the versions of offers of these commissions, the newest last; every one for None."""
    found = Offer.objects.exclude(step=Offer.Step.DRAFT).select_related("commission").order_by("version")
    found = found if names is None else found.filter(commission__number__in=names)
    return {str(offer.id): offer for offer in found}


def _approvals_of(names: Collection[str] | None) -> Mapping[str, Approval]:
    """Return what clients of these commissions were asked to approve; all of it for None."""
    found = Approval.objects.select_related("commission")
    found = found if names is None else found.filter(commission__number__in=names)
    return {str(approval.id): approval for approval in found}


@reminder_kind
class ClientAsked(SubjectKind):
    key, title, place = gettext_noop("client asked"), gettext_noop("Client asked something"), 160
    noun = "question"
    load = staticmethod(rows_by("id", ClientQuestion.objects.select_related("commission")))
    rests_on = staticmethod(_questions_of)
    after = ("client_asked", "question_settled", "client_told")
    settings = ()
    does = gettext_lazy("Answer")

    def touched_by_reply(self, name: str) -> Iterable[str]:
        return Commission.objects.filter(questions=int(name)).values_list("number", flat=True)

    def schedule(self, found: Mapping[str, Any], mornings: Mornings) -> Mapping[str, Iterable[datetime]]:
        return {name: () if asked.settled_at else [asked.asked_at] for name, asked in found.items()}

    def rows_of(self, row: ClientQuestion) -> Iterable[Model]:
        return [row, row.commission]

    def news(self, row: ClientQuestion, tell: Telling) -> News:
        path = f"/commissions/{row.commission.number}/client/#q{row.id}"
        return about_commission(row.commission, _("the client asked something"), path, tell)

    def facts(self, row: ClientQuestion, tell: Telling) -> list[Fact]:
        return [commission_fact(row.commission, tell), (THEIR_WORDS, tell.texts[row.words_ref])]


@reminder_kind
class ClientApproved(SubjectKind):
    key, title, place = gettext_noop("client approved"), gettext_noop("Client approved a drawing"), 165
    noun = "approval"
    load = staticmethod(rows_by("id", Approval.objects.select_related("commission")))
    rests_on = staticmethod(_approvals_of)
    after = ("client_approved", "commission_moved", "decline_taken_back")
    settings = ()

    def touched(self, event: Event) -> Iterable[str]:
        """Return the commission, where a client approved or its reminders end or resume."""
        counts = event.kind != "commission_moved" or event.data["to"] in ENDS_OR_LIVES_AGAIN
        return super().touched(event) if counts else ()

    def touched_by_reply(self, name: str) -> Iterable[str]:
        return Commission.objects.filter(approvals=int(name)).values_list("number", flat=True)

    def schedule(self, found: Mapping[str, Any], mornings: Mornings) -> Mapping[str, Iterable[datetime]]:
        ended = Commission.ENDED
        return {
            name: [yes.approved_at] if yes.approved_at and yes.commission.step not in ended else ()
            for name, yes in found.items()
        }

    def rows_of(self, row: Approval) -> Iterable[Model]:
        return [row.commission]

    def news(self, row: Approval, tell: Telling) -> News:
        is_drawing = row.what == Approval.What.DRAWING
        says = _("the client approved the drawing") if is_drawing else _("the client approved the sample")
        return about_commission(row.commission, says, f"/pieces/{row.piece}/next/", tell)

    def facts(self, row: Approval, tell: Telling) -> list[Fact]:
        return [commission_fact(row.commission, tell)]


class Answer(SubjectKind):
    """A client's answer to an offer; what the shop writes down for a client is not told to the shop."""

    owners_only = True
    noun = "answer"
    load = staticmethod(rows_by("id", Offer.objects.select_related("commission")))
    rests_on = staticmethod(_offers_of)
    after: ClassVar[tuple[str, ...]] = (
        "offer_issued", "offer_accepted", "offer_declined", "commission_moved", "acceptance_taken_back",
        "decline_taken_back",
    )  # fmt: skip
    settings = ()
    step: ClassVar[Offer.Step]
    silent: ClassVar[tuple[Commission.Step, ...]] = Commission.ENDED
    """Steps of a commission in which this answer is not told any more."""

    def touched(self, event: Event) -> Iterable[str]:
        """Return the commission, where a client answered or its answers count or end."""
        if event.kind in ("offer_accepted", "offer_declined"):
            counts = event.actor.startswith(CLIENT)
        else:
            again = event.kind in ("offer_issued", "decline_taken_back")
            counts = again or event.data["to"] in ENDS_OR_LIVES_AGAIN
        return super().touched(event) if counts else ()

    def touched_by_reply(self, name: str) -> Iterable[str]:
        return Commission.objects.filter(offers=int(name)).values_list("number", flat=True)

    def schedule(self, found: Mapping[str, Any], mornings: Mornings) -> Mapping[str, Iterable[datetime]]:
        newest = {offer.number: offer.id for offer in found.values()}
        return {
            name: [offer.decided_at] if offer.id == newest[offer.number] and self._is_given(offer) else ()
            for name, offer in found.items()
        }

    def _is_given(self, offer: Offer) -> bool:
        """Return whether a client gave this answer, to an offer of a commission that goes on."""
        by_client = bool(offer.decided_at) and offer.decided_by.startswith(CLIENT)
        return by_client and offer.step == self.step and offer.commission.step not in self.silent

    @abstractmethod
    def says(self, *, quote: bool) -> str:
        """Return the answer in words, to a quote or to a change."""

    def rows_of(self, row: Offer) -> Iterable[Model]:
        return [row, row.commission]

    def news(self, row: Offer, tell: Telling) -> News:
        says = self.says(quote=row.kind == Offer.Kind.QUOTE)
        return about_commission(row.commission, says, f"/offers/{row.number}/", tell)

    def facts(self, row: Offer, tell: Telling) -> list[Fact]:
        words = tell.texts[row.reason_ref] or tell.texts[row.name_ref]
        return [commission_fact(row.commission, tell), (THEIR_WORDS, words)]


@reminder_kind
class ClientSaidYes(Answer):
    key, title, place = gettext_noop("client said yes"), gettext_noop("Client said yes"), 170
    step = Offer.Step.ACCEPTED

    def says(self, *, quote: bool) -> str:
        return _("the client accepted the quote") if quote else _("the client accepted the change")


@reminder_kind
class ClientSaidNo(Answer):
    key, title, place = gettext_noop("client said no"), gettext_noop("Client said no"), 180
    step = Offer.Step.DECLINED
    silent = (Commission.Step.CLOSED, Commission.Step.CANCELLED)

    def says(self, *, quote: bool) -> str:
        return _("the client declined the quote") if quote else _("the client declined the change")
