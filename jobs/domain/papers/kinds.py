"""Kinds of paper, each declared by the file of ``jobs/documents`` that lays it out.

The service imports those files when it starts. Commands, pages, API and drafts read the kinds here.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any, TypeVar

from jobs.core.errors import Invalid
from jobs.domain.checks import one_of
from jobs.models import Commission
from jobs.models.papers import LONGEST_KIND

Content = dict[str, Any]
"""The frozen content of a paper."""
Step = Commission.Step
LAST = 100


@dataclass(frozen=True, kw_only=True)
class PaperKind:
    """One kind of paper. All words are English; a page translates them.

    - ``key``: its name in events and in the addresses of drafts
    - ``prefix``: the letter that opens its numbers
    - ``layout``: makes the HTML from the frozen content
    - ``steps``: the steps of a commission that allow it
    - ``before_another``: what to do first where one is issued already
    - ``draft``: what it would say of a commission on a day, where it has a draft
    - ``is_kept_by_law``: its text is retained for the years that the shop sets
    - ``is_for_client``: the client's page shows it
    - ``rests_on_pieces``: a change of a piece would make it wrong, so it is refused
    - ``outdated_by``: the kinds of event that make it older than its piece
    - ``place``: its place in the lists of the API; a new kind comes last
    """

    key: str
    prefix: str
    title: str
    layout: Callable[[Content], str]
    steps: tuple[Step, ...] = ()
    before_another: str = "withdraw it first"
    draft: Callable[[Commission, date], Content] | None = None
    is_kept_by_law: bool = False
    is_for_client: bool = False
    rests_on_pieces: bool = False
    outdated_by: tuple[str, ...] = ()
    place: int = LAST


@dataclass(frozen=True, kw_only=True)
class WorkPaper(PaperKind):
    """A paper of the work: it needs nothing but its commission, makers issue it, and it can be withdrawn.

    - ``content``: what it says of a commission
    - ``issue_it``, ``about``: the button that issues it, and what its page says
    - ``says``: what the API says of the operation, where ``issue_it`` is not enough
    - ``address``: its word in addresses, where that is not its key
    - ``without_piece``: the refusal where there is no piece; empty where it needs none
    - ``shows_sizes``: its page shows the sizes of the pieces, and no labels to print
    """

    content: Callable[[Commission], Content]
    issue_it: str
    about: str
    says: str = ""
    address: str = ""
    without_piece: str = "there is no piece yet"
    shows_sizes: bool = False

    @property
    def word(self) -> str:
        """Return its word in addresses."""
        return self.address or self.key


K = TypeVar("K", bound=PaperKind)
_kinds: dict[str, PaperKind] = {}


def register(kind: PaperKind) -> None:
    """Add a kind of paper; refuse one whose key, prefix or address is another's."""
    if len(kind.key) > LONGEST_KIND:
        raise TypeError(f"{kind.key} is longer than {LONGEST_KIND} letters")
    if isinstance(kind, WorkPaper) and not kind.steps:
        raise TypeError(f"{kind.key} has no step of a commission that allows it")
    for other in _kinds.values():
        if taken := _marks(kind) & _marks(other):
            raise TypeError(f"{kind.title}: {taken.pop()} is {other.title} already")
    _kinds[kind.key] = kind


def _marks(kind: PaperKind) -> set[str]:
    return {kind.key, kind.prefix} | ({kind.word} if isinstance(kind, WorkPaper) else set())


def paper_kinds() -> list[PaperKind]:
    """Return every kind of paper."""
    return sorted(_kinds.values(), key=lambda kind: (kind.place, kind.key))


def papers_of_work() -> list[WorkPaper]:
    """Return the papers of the work, by the step from which they can be issued."""
    found = [kind for kind in _kinds.values() if isinstance(kind, WorkPaper)]
    return sorted(found, key=lambda kind: (list(Step).index(kind.steps[0]), kind.key))


def drafted_kinds() -> list[str]:
    """Return the kinds that have a draft."""
    return [kind.key for kind in paper_kinds() if kind.draft or isinstance(kind, WorkPaper)]


def kinds_on_pieces() -> list[str]:
    """Return the kinds that a change of a piece would make wrong; deposit invoices are excepted."""
    return [kind.key for kind in paper_kinds() if kind.rests_on_pieces]


def outdating_events(key: str) -> tuple[str, ...]:
    """Return the kinds of event that make a paper of this kind older than its piece."""
    return _kinds[key].outdated_by if key in _kinds else ()


def paper_kind(key: str) -> PaperKind:
    """Return a kind of paper; refuse an unknown one."""
    return _one_of(paper_kinds(), key)


def work_paper(key: str) -> WorkPaper:
    """Return a paper of the work; refuse any other kind."""
    return _one_of(papers_of_work(), key)


def draft_content(key: str, commission: Commission, today: date) -> Content:
    """Return what a paper would say if it was issued today; refuse a kind that has no draft."""
    kind = _kinds.get(key)
    if isinstance(kind, WorkPaper):
        return kind.content(commission)
    if kind is None or kind.draft is None:
        allowed = ", ".join(drafted_kinds())
        raise Invalid("no such paper to draft", field="kind", value=key[:40], allowed=allowed)
    return kind.draft(commission, today)


def _one_of(kinds: list[K], key: str) -> K:
    found = {kind.key: kind for kind in kinds}
    one_of(key, found, "there is no such kind of paper", field="kind", shown=40)
    return found[key]


def paper_title(key: str) -> str:
    """Return the title of a kind of paper; the key itself where the kind is gone."""
    return _kinds[key].title if key in _kinds else key
