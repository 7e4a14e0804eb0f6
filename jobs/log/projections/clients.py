"""Events of clients: their data, updates to them, their questions, what they approve, and erasure."""

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.core.refs import FORGOTTEN_CLIENT
from jobs.core.typed_json import ABSENT, Absence, Json, PrivateRef
from jobs.log.projections import rows
from jobs.log.projections.kinds import Payload, Wording, event_kind
from jobs.models import Approval, Client, ClientQuestion, ClientUpdate, Event, Paper
from jobs.models.bases import row_key
from jobs.models.papers import GONE

PERSONAL = (
    "name", "email", "phone", "address", "postcode", "city", "country", "tax_id", "exempt",
    "endpoint", "buyer_reference", "exempt_state", "exempt_from", "exempt_until",
)  # fmt: skip


@event_kind("client_added", version=2)
class ClientAdded(Payload):
    """A client is added."""

    name: PrivateRef
    email: PrivateRef | None
    phone: PrivateRef | None
    address: PrivateRef | None
    postcode: PrivateRef | None
    city: PrivateRef | None
    country: PrivateRef | None
    tax_id: PrivateRef | None
    exempt: PrivateRef | None
    endpoint: PrivateRef | None | Absence = ABSENT
    buyer_reference: PrivateRef | None | Absence = ABSENT
    exempt_state: PrivateRef | None | Absence = ABSENT
    exempt_from: PrivateRef | None | Absence = ABSENT
    exempt_until: PrivateRef | None | Absence = ABSENT

    def project(self, event: Event) -> None:
        rows.add(
            Client(
                id=row_key(event.seq),
                added_at=event.occurred_at,
                version=event.seq,
                **{f"{name}_ref": ref for name, ref in self.given(*PERSONAL).items()},
            )
        )

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Client added: %(name)s") % {"name": tell.text(self.name)}]


@event_kind("client_changed")
class ClientChanged(Payload):
    """Data of a client are replaced; fields left out stay."""

    client: int
    name: PrivateRef | Absence = ABSENT
    email: PrivateRef | None | Absence = ABSENT
    phone: PrivateRef | None | Absence = ABSENT
    address: PrivateRef | None | Absence = ABSENT
    postcode: PrivateRef | None | Absence = ABSENT
    city: PrivateRef | None | Absence = ABSENT
    country: PrivateRef | None | Absence = ABSENT
    tax_id: PrivateRef | None | Absence = ABSENT
    exempt: PrivateRef | None | Absence = ABSENT
    endpoint: PrivateRef | None | Absence = ABSENT
    buyer_reference: PrivateRef | None | Absence = ABSENT
    exempt_state: PrivateRef | None | Absence = ABSENT
    exempt_from: PrivateRef | None | Absence = ABSENT
    exempt_until: PrivateRef | None | Absence = ABSENT

    def project(self, event: Event) -> None:
        fields = {f"{name}_ref": ref for name, ref in self.given(*PERSONAL).items()}
        rows.update(Client, self.client, version=event.seq, **fields)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Client changed")]


@dataclass(frozen=True, kw_only=True)
class LetGo(Payload):
    """The payload of an erasure: it removes the references to personal texts and to named papers' content."""

    client: int
    commissions: list[str]
    papers: list[str]
    texts: int
    held: int

    def project(self, event: Event) -> None:
        nothing = dict.fromkeys(f"{name}_ref" for name in PERSONAL) | {"name_ref": FORGOTTEN_CLIENT}
        rows.update(Client, self.client, version=event.seq, **nothing)
        Paper.objects.filter(number__in=self.papers).update(frozen_ref=GONE, file_sha256="")


@event_kind("client_forgotten")
class ClientForgotten(LetGo):
    """A client is forgotten, except for what the law retains."""

    def sentence(self, tell: Wording) -> list[str]:
        return [
            _("Client forgotten"),
            _("texts deleted: %(texts)s, kept for now: %(held)s") % {"texts": self.texts, "held": self.held},
        ]


@event_kind("client_hold_ended")
class ClientHoldEnded(LetGo):
    """Texts of a forgotten client are deleted at the end of their retention."""

    def sentence(self, tell: Wording) -> list[str]:
        gone = _("texts deleted: %(texts)s") % {"texts": self.texts}
        return [_("Papers of a forgotten client let go"), gone]


@event_kind("client_told")
class ClientTold(Payload):
    """A client gets an update, which may answer open questions."""

    commission: str
    words: PrivateRef
    pictures: list[int]
    answers: list[int]
    by_mail: bool

    def project(self, event: Event) -> None:
        update = ClientUpdate(
            id=row_key(event.seq),
            commission_id=rows.commission_id(self.commission),
            words_ref=self.words,
            told_at=event.occurred_at,
            told_by=event.actor,
            **self.given("pictures", "by_mail"),
        )
        rows.add(update)
        ClientQuestion.objects.filter(id__in=self.answers).update(
            settled_at=event.occurred_at, settled_by=event.actor, answer=update
        )

    def sentence(self, tell: Wording) -> list[str]:
        count = len(self.pictures)
        shown = ngettext("with %(count)s picture", "with %(count)s pictures", count) % {"count": count}
        shown = shown if count else ""
        says = filter(None, (_("Client told"), shown, _("by mail too") if self.by_mail else ""))
        return [", ".join(says), tell.text(self.words)]


@event_kind("client_asked")
class ClientAsked(Payload):
    """A client asks a question on the client's page."""

    commission: str
    words: PrivateRef

    def project(self, event: Event) -> None:
        rows.add(
            ClientQuestion(
                id=row_key(event.seq),
                commission_id=rows.commission_id(self.commission),
                words_ref=self.words,
                asked_at=event.occurred_at,
            )
        )

    def sentence(self, tell: Wording) -> list[str]:
        return [_("The client asked"), tell.text(self.words)]


@event_kind("question_settled")
class QuestionSettled(Payload):
    """A question is settled without an update."""

    commission: str
    question: int
    how: PrivateRef | None

    def project(self, event: Event) -> None:
        rows.update(
            ClientQuestion,
            self.question,
            settled_at=event.occurred_at,
            settled_by=event.actor,
            how_ref=self.how,
        )

    def sentence(self, tell: Wording) -> list[str]:
        return [_("A question of the client settled"), tell.text(self.how)]


@event_kind("approval_asked")
class ApprovalAsked(Payload):
    """A client is asked to approve the drawing or the sample of a piece, as its facts are now."""

    commission: str
    piece: str
    what: str
    shown: Json

    def project(self, event: Event) -> None:
        rows.add(
            Approval(
                id=row_key(event.seq),
                commission_id=rows.commission_id(self.commission),
                asked_at=event.occurred_at,
                asked_by=event.actor,
                **self.given("piece", "what", "shown"),
            )
        )

    def sentence(self, tell: Wording) -> list[str]:
        what = {"what": tell.translated(self.what), "piece": self.piece}
        return [_("Client asked to approve the %(what)s of %(piece)s") % what]


@event_kind("client_approved")
class ClientApproved(Payload):
    """A client approves what was shown, by the link of this key."""

    commission: str
    approval: int
    piece: str
    what: str
    shown: Json
    link: int | None

    def project(self, event: Event) -> None:
        rows.update(
            Approval,
            self.approval,
            approved_at=event.occurred_at,
            approved_by=event.actor,
            link=self.link,
        )

    def sentence(self, tell: Wording) -> list[str]:
        what = {"what": tell.translated(self.what), "piece": self.piece}
        return [_("The client approved the %(what)s of %(piece)s") % what]
