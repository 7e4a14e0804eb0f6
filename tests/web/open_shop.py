"""A shop in which anybody does anything, and every page, API object and paper of it is opened.

It starts at the end of the long story, so that every command has something to work on.
"""

import importlib
import inspect
import pkgutil
from collections.abc import Callable
from datetime import timedelta
from random import Random
from typing import Any

from django.db import transaction
from hypothesis import event, note
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, rule

from calcs.kit.errors import CalcError
from jobs import domain
from jobs.core.errors import ShopError
from jobs.documents.render import offer_draft, render
from jobs.domain.stages.commands import finish_stage, start_stage
from jobs.domain.waits.route import RouteState
from jobs.log.commands import CommandResult, verify_log
from jobs.log.rebuild import compare
from jobs.models import Offer, Paper, Piece, Stage
from tests.chance import dice
from tests.shop_fixtures import INCHES, Work, good
from tests.web.arguments import MORE, draws
from tests.web.every_page import a_whole_shop
from tests.web.hand import Hand
from tests.web.visitors import Visitors

SEED = st.integers(0, 2**32 - 1)


def all_commands() -> dict[str, Callable[..., CommandResult]]:
    """Return every command of the shop by its name."""
    found: dict[str, Callable[..., CommandResult]] = {}
    for module in pkgutil.walk_packages(domain.__path__, f"{domain.__name__}."):
        here = importlib.import_module(module.name)
        for name, verb in vars(here).items():
            own = inspect.isfunction(verb) and verb.__module__ == here.__name__ and not name.startswith("_")
            if own and is_command(verb):
                found[name] = verb
    return found


def is_command(verb: Callable[..., Any]) -> bool:
    """Return whether a function is decorated as a command, or takes a call and answers as one does."""
    takes = next(iter(inspect.signature(verb).parameters), "")
    is_made = takes == "tx" and hasattr(verb, "__wrapped__")
    return is_made or (takes == "call" and inspect.signature(verb).return_annotation is CommandResult)


COMMANDS = all_commands()


def arguments(name: str) -> tuple[list[str], list[str]]:
    """Return the names of a command's required and optional arguments."""
    named = [p for p in inspect.signature(COMMANDS[name]).parameters.values() if p.kind == p.KEYWORD_ONLY]
    needed = [p.name for p in named if p.default is p.empty]
    return needed, [p.name for p in named if p.default is not p.empty]


class OpenShop(RuleBasedStateMachine):
    """Each example is rolled back."""

    def __init__(self) -> None:
        super().__init__()
        self.rolled_back = transaction.atomic()
        self.rolled_back.__enter__()

    @initialize()
    def begin(self) -> None:
        dice.begin()
        now = a_whole_shop().now
        self.visitors = Visitors()
        self.work = Work(self.visitors.pages[0].person, now)

    def teardown(self) -> None:
        try:
            if hasattr(self, "visitors"):
                self.visitors.leave()
        finally:
            transaction.set_rollback(True)
            self.rolled_back.__exit__(None, None, None)

    # Commands

    @rule(name=st.sampled_from(sorted(COMMANDS)), seed=SEED)
    def command(self, name: str, seed: int) -> None:
        """Run any command with any arguments; then open the pages it was about."""
        random = Random(seed)
        hand = Hand(random, self.work.now)
        needed, may = arguments(name)
        chosen = [*needed, *(a for a in may if random.random() < 0.5)]
        asked = hand.of(draws(name, chosen))
        asked |= MORE[name](hand) if name in MORE else {}
        if any(value is None for a, value in asked.items() if a in needed and a != "picture"):
            return
        done = self.attempt(name, **asked)
        if done:
            self.look_at(done, random)

    def attempt(self, name: str, /, **asked: object) -> CommandResult | None:
        note(f"{name} {asked}")
        try:
            with transaction.atomic():
                done = COMMANDS[name](self.work.call(), **asked)
        except (ShopError, CalcError) as refused:
            event(f"{name}: {type(refused).__name__}")
            assert str(refused), name
            return None
        event(f"{name}: done")
        return done

    @rule(picks=st.lists(st.integers(0, 99), min_size=2, max_size=8))
    def go_on(self, picks: list[int]) -> None:
        """Do good work on open stages, an hour later each time."""
        for pick in picks:
            routes = [RouteState(p) for p in Piece.objects.order_by("id")]
            at_hand = [
                s for r in routes for s in r.stages
                if s.step == Stage.Step.UNDER_WAY or (r.open_to(s) and not s.spec["passive"])
            ]  # fmt: skip
            if not at_hand:
                return
            self.work.go(hours=1)
            stage = at_hand[pick % len(at_hand)]
            begun = stage.step == Stage.Step.UNDER_WAY
            verb = finish_stage if begun else start_stage
            measured = good(stage.piece, stage.key, "finish" if begun else "start")
            asked = {"piece": stage.piece.number, "stage": stage.key, "units": INCHES, "measured": measured}
            self.attempt(verb.__name__, **asked)

    @rule(hours=st.sampled_from([1, 30, 24 * 20]))
    def time_passes(self, hours: int) -> None:
        self.work.go(hours=hours)

    # Pages

    def look_at(self, done: CommandResult, random: Random) -> None:
        """Open the commission, piece, client, paper or board of the events, as page and in the API."""
        streams = sorted({e.stream for e in done.events})
        about = [
            a.format(key) for what, _, key in (s.partition(":") for s in streams) for a in SHOWN.get(what, ())
        ]
        number = streams[0].partition(":")[2]
        for piece in Piece.objects.filter(commission__number=number).order_by("-id")[:1]:
            stage = random.choice(list(piece.stages.values_list("key", flat=True)))
            about += [f"/api/v1/pieces/{piece.number}/", f"/pieces/{piece.number}/stages/{stage}/"]
        for address in (*random.sample(about, min(len(about), 3)), random.choice(EVERYTHING)):
            self.visitors.open(address, random.choice((0, 0, 1)))

    @rule(seed=SEED)
    def open_anything(self, seed: int) -> None:
        self.visitors.open_one_of_each(Random(seed), share=0.03)

    @rule(seed=SEED)
    def open_oddly(self, seed: int) -> None:
        self.visitors.open_oddly(Random(seed))

    @rule(seed=SEED)
    def send_oddly(self, seed: int) -> None:
        self.visitors.send_oddly(Random(seed))

    @rule(pick=st.integers(0, 99))
    def print_paper(self, pick: int) -> None:
        """Print a paper for real: a recently issued one, or a drafted offer."""
        papers = [p for p in Paper.objects.order_by("-id")[:6] if not p.is_forgotten]
        drafts = list(Offer.objects.filter(step=Offer.Step.DRAFT).order_by("-id")[:2])
        thing = [*papers, *drafts][pick % len([*papers, *drafts])]
        made = render(thing) if isinstance(thing, Paper) else offer_draft(thing)
        assert made.startswith(b"%PDF-")

    @rule(seed=SEED)
    def look_all_over(self, seed: int) -> None:
        """Open all of it now and then, and verify the log."""
        if seed % LOOKS_ALL_OVER:
            return
        self.visitors.open_one_of_each(Random(seed))
        assert verify_log().count and [str(d) for d in compare()] == []
        self.work.now += timedelta(seconds=1)


LOOKS_ALL_OVER = 5
"""One in so many of these looks opens everything; it takes as long as all the others."""
SHOWN = {
    "commission": ("/commissions/{}/", "/api/v1/commissions/{}/", "/commissions/{}/client/"),
    "client": ("/clients/{}/", "/api/v1/clients/{}/"),
    "board": ("/stock/boards/{}/", "/api/v1/boards/{}/"),
    "supply": ("/stock/supplies/{}/", "/api/v1/supplies/{}/"),
    "shop": ("/shop/shop/", "/api/v1/shop/"),
    "template": ("/route-templates/{}/", "/api/v1/templates/{}/"),
}
"""The addresses of a thing, by the first word of its stream."""
EVERYTHING = (
    "/", "/commissions/", "/log/", "/stock/", "/stock/shopping/", "/receivables/", "/hours/", "/notes/",
    "/api/v1/bench/", "/api/v1/events/", "/api/v1/commissions/", "/api/v1/papers/", "/api/v1/shopping/",
)  # fmt: skip
"""Pages that show a little of everything."""
