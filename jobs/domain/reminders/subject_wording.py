"""Words of a reminder about a commission, an invoice, a supply or a client's words."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils import timezone
from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.domain.billing.balances import account
from jobs.domain.reminders.daily import last_told
from jobs.domain.stock.shelf_life import best_before
from jobs.log.private_texts import Texts, refs_of
from jobs.models import (
    ClientQuestion,
    Commission,
    Invoice,
    Offer,
    ReminderDue,
    ReminderKind,
    Stage,
    Supply,
)

THEIR_WORDS = gettext_lazy("They wrote")
"""Label of a client's words, which go into mails but not through a push service."""


@dataclass(frozen=True, kw_only=True)
class News:
    """One reminder in words, with the page of its subject."""

    headline: str
    path: str
    commission: str = ""


class SubjectNews:
    """The words of many reminders, read at once: ``news[due]``."""

    def __init__(self, dues: Iterable[ReminderDue], *, now: datetime) -> None:
        dues = list(dues)
        named: dict[str, set[str]] = defaultdict(set)
        for due in dues:
            noun, colon, name = due.subject.partition(":")
            named[noun].add(name)
        self.today = timezone.localtime(now).date()
        self.invoices = {
            i.paper.number: i
            for i in Invoice.objects.filter(paper__number__in=named["invoice"]).select_related(
                "paper__commission"
            )
        } if named["invoice"] else {}  # fmt: skip
        found = Commission.objects.filter(number__in=named["commission"]) if named["commission"] else []
        self.commissions = {c.number: c for c in found}
        untold = any(due.kind == ReminderKind.UNTOLD for due in dues)
        self.told = last_told(list(self.commissions.values())) if untold else {}
        self.supplies = Supply.objects.in_bulk([int(n) for n in named["supply"]]) if named["supply"] else {}
        self.questions = ClientQuestion.objects.select_related("commission").in_bulk(
            [int(key) for key in named["question"]]
        ) if named["question"] else {}  # fmt: skip
        self.answers = Offer.objects.select_related("commission").in_bulk(
            [int(key) for key in named["answer"]]
        ) if named["answer"] else {}  # fmt: skip
        orders = [*self.commissions.values(), *(i.paper.commission for i in self.invoices.values())]
        orders += [said.commission for said in (*self.questions.values(), *self.answers.values())]
        said = [*self.questions.values(), *self.answers.values()]
        self.texts = Texts(refs_of([*orders, *self.supplies.values(), *said]))

    def __getitem__(self, due: ReminderDue) -> News:
        noun, colon, name = due.subject.partition(":")
        if noun == "invoice":
            return self._invoice(self.invoices[name])
        if noun == "supply":
            return self._supply(self.supplies[int(name)])
        if noun == "question":
            return self._question(self.questions[int(name)])
        if noun == "answer":
            return self._answer(ReminderKind(due.kind), self.answers[int(name)])
        return self._commission(ReminderKind(due.kind), self.commissions[name])

    def facts(self, due: ReminderDue) -> list[tuple[str, str]]:
        """Return the facts below the headline, where there is room."""
        noun, colon, name = due.subject.partition(":")
        if noun == "supply":
            supply = self.supplies[int(name)]
            return [(_("Kind"), _(supply.get_kind_display())), (_("Lot"), supply.lot)]
        if noun in ("question", "answer"):
            return self._said(noun, int(name))
        invoice = self.invoices[name] if noun == "invoice" else None
        commission = invoice.paper.commission if invoice else self.commissions[name]
        facts = [(_("Commission"), f"{commission.number}, {self.texts[commission.title_ref]}")]
        if invoice is not None:
            facts.append((_("Open"), f"{account(commission).open(invoice)} {invoice.currency}"))
        elif due.kind == ReminderKind.PROMISE:
            facts.append((_("Still to do"), _left(commission)))
        elif due.kind == ReminderKind.DELIVERY:
            facts.append((_("Before it leaves"), _("the delivery checklist, on the commission's page")))
        else:
            facts.append((_("It stands at"), _(commission.get_step_display())))
        return facts

    def _commission(self, kind: ReminderKind, commission: Commission) -> News:
        told = self.told.get(commission.id, commission.step_at)
        says = {
            ReminderKind.PROMISE: _("promised for %(promise_on)s, not ready")
            % {"promise_on": self._day(commission.promise_on)},
            ReminderKind.DELIVERY: _("to be delivered %(promise_on)s")
            % {"promise_on": self._day(commission.promise_on)},
            ReminderKind.UNTOLD: _("client told nothing since %(day)s") % {"day": self._day(_local(told))},
        }[kind]
        tell = kind == ReminderKind.UNTOLD
        return News(
            headline=f"{commission.number} {self.texts[commission.title_ref]}: {says}",
            path=f"/commissions/{commission.number}/{'client/' if tell else ''}",
            commission=commission.number,
        )

    def _question(self, question: ClientQuestion) -> News:
        commission = question.commission
        says = _("the client asked something")
        return News(
            headline=f"{commission.number} {self.texts[commission.title_ref]}: {says}",
            path=f"/commissions/{commission.number}/client/#q{question.id}",
            commission=commission.number,
        )

    def _answer(self, kind: ReminderKind, offer: Offer) -> News:
        commission, yes = offer.commission, kind == ReminderKind.SAID_YES
        if offer.kind == Offer.Kind.QUOTE:
            says = _("the client accepted the quote") if yes else _("the client declined the quote")
        else:
            says = _("the client accepted the change") if yes else _("the client declined the change")
        return News(
            headline=f"{commission.number} {self.texts[commission.title_ref]}: {says}",
            path=f"/offers/{offer.number}/",
            commission=commission.number,
        )

    def _said(self, noun: str, key: int) -> list[tuple[str, str]]:
        """Return the client's question or answer, in their words."""
        if noun == "question":
            commission, words = self.questions[key].commission, self.texts[self.questions[key].words_ref]
        else:
            offer = self.answers[key]
            commission = offer.commission
            words = self.texts[offer.reason_ref] or self.texts[offer.name_ref]
        return [
            (_("Commission"), f"{commission.number}, {self.texts[commission.title_ref]}"),
            (THEIR_WORDS, words),
        ]

    def _invoice(self, invoice: Invoice) -> News:
        says = _("overdue since") if invoice.due_on < self.today else "due"
        return News(
            headline=_("Invoice %(number)s: %(says)s %(due_on)s")
            % {"number": invoice.paper.number, "says": says, "due_on": self._day(invoice.due_on)},
            path=f"/commissions/{invoice.paper.commission.number}/",
            commission=invoice.paper.commission.number,
        )

    def _supply(self, supply: Supply) -> News:
        name, best = self.texts[supply.name_ref], best_before(supply)
        says = []
        if supply.level in (Supply.Level.LOW, Supply.Level.EMPTY):
            says.append(_(supply.level))
        if best is not None and best < self.today:
            says.append(_("past its date, %(day)s") % {"day": self._day(best)})
        return News(
            headline=f"{name}: {', '.join(says) or _(supply.level)}",
            path=f"/stock/supplies/{supply.id}/",
        )

    def _day(self, day: date | None) -> str:
        if day is None:
            return ""
        near = {self.today: _("today"), self.today + timedelta(days=1): _("tomorrow")}
        return near.get(day, date_format(day, "D d M Y"))


def _local(moment: datetime) -> date:
    return timezone.localtime(moment).date()


def _left(commission: Commission) -> str:
    """Return how many stages are not done yet, in words."""
    done = (Stage.Step.DONE, Stage.Step.SKIPPED)
    count = Stage.objects.filter(piece__commission=commission).exclude(step__in=done).count()
    return _("%(count)s stages") % {"count": count} if count != 1 else "1 stage"
