"""Papers: issue the invoice, see a draft, fetch the file, withdraw, credit."""

from functools import partial
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from jobs.core import blobs
from jobs.core.errors import NotFound
from jobs.core.parsing import to_decimal, to_money
from jobs.documents.render import draft as draft_of
from jobs.domain import lookups
from jobs.domain.billing.credits import CreditLine, credit_invoice, creditable_lines
from jobs.domain.billing.sending import goes_to_client
from jobs.domain.overviews.papers import paper_view
from jobs.domain.papers.issuing import RENDER, withdraw_paper
from jobs.domain.papers.kinds import paper_kind
from jobs.models import OutboxMessage, Paper, Person
from jobs.web.billing.about import paper_name
from jobs.web.kit.access import owner, shows_pdf, worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.formatting import number_words
from jobs.web.kit.forms import PageForm, number_field, reason_field
from jobs.web.kit.responses import pdf_answer, unless_it_has_it

ASK_AGAIN_S = 3
STANDS = ("issued", "being prepared")


class WithdrawForm(PageForm):
    reason = reason_field(gettext_lazy("Why it is withdrawn"))


class CreditForm(PageForm):
    """Why, and how much: all of it, a sum, or so many of some lines (``lines/3`` for the third)."""

    reason = reason_field(
        gettext_lazy("Why it is credited"), help_text=gettext_lazy("Stands on the credit note.")
    )
    amount = number_field(
        gettext_lazy("A sum of it, with tax"), help_text=gettext_lazy("Empty: all that is left of it."),
        autocomplete="off",
    )  # fmt: skip

    def __init__(self, data: Any = None, *, lines: list[dict[str, Any]], **more: Any) -> None:
        super().__init__(data, **more)
        self.places = [line["line"] for line in lines]
        for line in lines:
            name = f"lines/{line['line']}"
            self.fields[name] = number_field(
                line["description"].partition("\n")[0], autocomplete="off",
                suffix=_("of %(left)s") % {"left": number_words(line["left"])},
            )  # fmt: skip

    @property
    def lines(self) -> list[Any]:
        return [self[f"lines/{place}"] for place in self.places]

    @property
    def is_unfolded(self) -> bool:
        return any(field.errors or field.value() for field in self.lines)

    def field_of(self, name: str) -> str:
        """Return the field of a refusal, which counts filled lines only."""
        head, _slash, rest = name.partition("/")
        filled = [place for place in self.places if self.data.get(f"lines/{place}", "").strip()]
        position = rest.partition("/")[0]
        if head != "lines" or not filled:
            return name
        return f"lines/{filled[int(position)] if position.isdigit() else filled[0]}"


def _credited(asked: dict[str, Any]) -> dict[str, Any]:
    """Return what the command takes: the reason, and lines or a sum where they are typed."""
    typed = [(name, text) for name, text in asked.items() if name.startswith("lines/") and text]
    lines = [
        CreditLine(line=int(name.removeprefix("lines/")), quantity=to_decimal(text, f"lines/{n}/quantity"))
        for n, (name, text) in enumerate(typed)
    ]
    amount = to_money(asked["amount"], "amount") if asked["amount"] else None
    return {"reason": asked["reason"], "lines": lines, "amount": amount}


@worker
@require_safe
@shows_pdf
def draft(request: SignedIn, number: str, kind: str) -> HttpResponse:
    """Return a draft of what would be issued now; it takes no number."""
    if kind == Paper.INVOICE and not request.user.is_owner:
        raise PermissionDenied(_("Invoices are for the owner of the shop."))
    return pdf_answer(draft_of(commission=number, kind=kind, now=timezone.now()), f"draft-{number}")


@worker
@require_http_methods(["GET", "POST"])
def withdraw(request: SignedIn, paper: str) -> HttpResponse:
    found = _seen_by(request.user, paper)
    return command_page(
        request, WithdrawForm(request.POST or None, seen=found.version), partial(withdraw_paper, paper=paper),
        (_("%(paper)s is withdrawn.") % {"paper": paper}, *_page_of(found)),
        "web/papers/withdraw.html", lambda: {"paper": paper, **_belongs_to(found)},
    )  # fmt: skip


@owner
@require_http_methods(["GET", "POST"])
def credit(request: SignedIn, paper: str) -> HttpResponse:
    """Issue a credit note for an invoice, or for a part of it."""
    found, says = _seen_by(request.user, paper), _("%(paper)s is credited by %(note)s.")
    lines = [] if found.what == Paper.DEPOSIT else creditable_lines(found)  # of a deposit a sum says it all
    form = CreditForm(request.POST or None, seen=found.version, lines=lines)
    if found.kind == Paper.INVOICE:
        form.show_unit("amount", found.invoice.currency)
    return command_page(
        request, form,
        lambda call, **asked: credit_invoice(call, paper=paper, **_credited(asked)),
        lambda first: (says % {"paper": paper, "note": first.data["paper"]}, *_page_of(found)),
        "web/papers/credit.html", lambda: {"paper": paper, **_belongs_to(found)},
    )  # fmt: skip


def _page_of(found: Paper) -> tuple[str, object]:
    """Return the page a paper belongs to: its commission, or its client for a statement of account."""
    if found.commission:
        return "web:commission", found.commission.number
    return "web:statement", found.client_id


def _belongs_to(found: Paper) -> dict[str, str]:
    """Return the address and the words of the link back."""
    words = found.commission.number if found.commission else _("Account")
    return {"back": reverse(_page_of(found)[0], args=_page_of(found)[1:]), "back_words": words}


@worker
@require_safe
def paper_row(request: SignedIn, paper: str) -> HttpResponse:
    """Return a paper's row, which the commission polls until the file exists."""
    found = _seen_by(request.user, paper)
    return render(request, "web/parts/paper.html", {"paper": shown_paper(found, request.user)})


@worker
@require_safe
@shows_pdf
def pdf(request: SignedIn, paper: str) -> HttpResponse:
    """Return the stored file of a paper; before it exists, a page that polls for it."""
    found = _seen_by(request.user, paper)
    if found.is_forgotten:
        raise NotFound(_("what this paper said is forgotten"), field="paper", value=paper)
    if not found.file_sha256:
        context = {"paper": shown_paper(found, request.user), **_belongs_to(found)}
        answer = render(request, "web/papers/paper_wait.html", context, status=503)
        answer["Retry-After"] = str(ASK_AGAIN_S)
        return answer
    answer = HttpResponse(blobs.load(found.file_sha256, of=found.number), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{paper}.pdf"'
    answer["ETag"] = f'"{found.file_sha256}"'
    return unless_it_has_it(request, answer)


def _seen_by(person: Person, paper: str) -> Paper:
    found = lookups.paper(paper)
    if found.is_money and not person.is_owner:
        raise PermissionDenied(_("Invoices are for the owner of the shop."))
    return found


def shown_paper(found: Paper, person: Person) -> dict[str, Any]:
    today = timezone.localdate()
    return shown_papers([paper_view(found, with_money=person.is_owner, today=today)])[0]


def may_issue_invoice(view: dict[str, Any]) -> bool:
    """Return whether a commission is ready for its invoice and does not have it yet."""
    has_one = any(
        p["kind"] == Paper.INVOICE and p["standing"] != "credited" and p["what"] != Paper.DEPOSIT
        for p in view["papers"]
    )
    return view["step"] in paper_kind(Paper.INVOICE).steps and not has_one


def shown_papers(papers: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Add the title, whether it can be withdrawn, why there is no file yet, what is wrong with a file."""
    waiting = [paper["number"] for paper in papers if not paper["has_file"]]
    failed = OutboxMessage.objects.filter(kind=RENDER, subject__in=waiting).exclude(error="")
    why = dict(failed.values_list("subject", "error")) if waiting else {}
    return [
        {
            **paper,
            "title": paper_name(paper["kind"], paper["what"]),
            "is_withdrawn_by_hand": paper["kind"] not in Paper.MONEY,
            "may_send": paper["standing"] in STANDS and goes_to_client(paper["kind"]),
            "trouble": why.get(paper["number"], ""),
            "damage": blobs.trouble(paper["sha256"]) if paper["has_file"] else "",
        }
        for paper in papers
    ]
