"""Notes for next time: where they come back, and the order they teach."""

import pytest

from jobs.core.errors import AlreadyDone, Forbidden, Invalid, WrongState
from jobs.domain.commissions.piece_commands import add_piece, change_piece
from jobs.domain.notes.commands import dismiss_note, retire_note, write_note
from jobs.domain.notes.queries import note_views, notes_of_piece
from jobs.domain.routes import Choices, expand, route
from jobs.domain.routes.note_rules import warnings
from jobs.domain.routes.order_rules import BUILT_IN, check
from jobs.domain.routes.schema import COUNTS, FACTS, HERE
from jobs.domain.stages.route_edits import add_stage, move_stage
from jobs.log.rebuild import compare
from jobs.models import Event, Note, Stage
from tests.shop_fixtures import INCHES, QUICK, TOP, Work, a_maker, a_piece

pytestmark = pytest.mark.django_db
WORDS = "Wax the cauls, the last panel stuck"


def note_on(work, piece, stage="glue-up", words=WORDS, **more):
    done = write_note(work.call(), piece=piece.number, stage=stage, words=words, **more)
    return Note.objects.get(version=done.events[0].seq)


def shown(work, piece):
    """Return texts and stages of the notes on a piece."""
    return [(v["words"], v["shown_at"]) for v in notes_of_piece(piece, list(piece.stages.all()), work.by)]


def where(note):
    (view,) = note_views([Note.objects.get(id=note.id)])
    assert view["came_back"] == len(view["where"])
    return view["where"]


def specs(piece):
    return [s.spec for s in piece.stages.order_by("position")]


@pytest.fixture
def piece(work):
    return work.accepted(**QUICK)


def test_a_note_comes_back_on_that_stage_of_the_next_pieces(work, piece):
    note, coat = note_on(work, piece), note_on(work, piece, "build-1", words="Thin the second coat")
    assert where(note) == []
    later = work.accepted(**QUICK, build_coats="3")
    coats = ["build-1", "build-2", "build-3"]
    assert shown(work, later) == [("Thin the second coat", coats), (WORDS, ["glue-up"])]
    assert where(note) == where(coat) == [later.number]
    assert WORDS not in "".join(Event.objects.values_list("body", flat=True))
    assert compare() == []


def test_it_comes_back_on_a_piece_in_the_shop_but_not_on_work_that_was_done(work, piece):
    open_one, done = work.accepted(**QUICK), work.accepted(**QUICK)
    work.do(done, "survey")
    note = note_on(work, piece, "survey")
    assert where(note) == [open_one.number]


def test_every_given_tag_must_be_alike(work, piece):
    tags = ("species", "glue", "finish", "route")
    notes = {tag: note_on(work, piece, "survey", words=tag, only_for=[tag]) for tag in tags}
    other = {
        "species": {"species": "white ash"}, "glue": {"glue": "epoxy"},
        "finish": {"finish_face": "oil-varnish"}, "route": {"route": "short"},
    }  # fmt: skip
    for tag, asked in other.items():
        unlike = a_piece(work.call(), piece.commission, **{**TOP, **QUICK, **asked})
        assert {words for words, _ in shown(work, unlike)} == {*tags} - {tag}
        assert unlike.number not in where(notes[tag])


def test_a_dismissed_note_is_gone_from_that_piece_alone(work, piece):
    note = note_on(work, piece)
    one, other = work.accepted(**QUICK), work.accepted(**QUICK)
    dismiss_note(work.call(), note=note.id, piece=one.number)
    assert (shown(work, one), len(shown(work, other))) == ([], 1)
    assert where(note) == [one.number, other.number]
    with pytest.raises(AlreadyDone):
        dismiss_note(work.call(), note=note.id, piece=one.number)
    with pytest.raises(WrongState):
        shelf = a_piece(work.call(), one.commission, route="free-list", label="Shelf", stages=["Plane"])
        dismiss_note(work.call(), note=note.id, piece=shelf.number)
    assert compare() == []


def test_a_retired_note_comes_back_no_more_and_keeps_its_count(work, piece):
    note = note_on(work, piece)
    before = work.accepted(**QUICK)
    retire_note(work.call(), note=note.id, reason="the new cauls are coated")
    after = work.accepted(**QUICK)
    assert (shown(work, before), shown(work, after)) == ([], [])
    assert where(note) == [before.number]
    with pytest.raises(AlreadyDone):
        retire_note(work.call(), note=note.id)
    assert compare() == []


def test_a_stage_of_the_makers_own_is_known_by_its_title(work, piece):
    for number, title in ((piece.number, "Fill knots"), (work.accepted(**QUICK).number, "fill knots")):
        add_stage(work.call(), piece=number, title=title, after=["final-flatten"])
    unlike = work.accepted(**QUICK)
    add_stage(work.call(), piece=unlike.number, title="Inlay", after=["final-flatten"])
    note_on(work, piece, "added-1")
    alike = Stage.objects.exclude(piece__number=piece.number).filter(key="added-1").first().piece
    assert shown(work, alike) == [(WORDS, ["added-1"])]
    assert shown(work, unlike) == []


REFUSED = [
    ({"words": "  "}, "words"),
    ({"words": "x" * 4001}, "words"),
    ({"only_for": ["colour"]}, "only_for"),
    ({"picture": b"GIF89a"}, "picture"),
    ({"rule": {"before": "glue-up", "than": "polish-the-cat"}}, "rule.than"),
    ({"rule": {"before": "glue-up"}}, "rule.than"),
    ({"rule": {"before": "rip", "than": "rip"}}, "rule.than"),
    ({"rule": {"before": "seal", "than": "stiffeners"}}, "rule.than"),
]


def test_what_cannot_be_noted_is_refused(work, piece, subtests):
    for asked, field in REFUSED:
        with subtests.test(asked=str(asked)[:60]):
            with pytest.raises(Invalid) as refused:
                note_on(work, piece, **asked)
            assert refused.value.field == field and refused.value.allowed
    assert not Event.objects.filter(kind="note_written").exists()


def test_a_note_on_an_owners_stage_is_the_owners(work, piece):
    note = note_on(work, piece, "paid")
    maker = Work(a_maker(), now=work.now)
    assert shown(maker, work.accepted(**QUICK)) == []
    for change in (
        lambda: note_on(maker, piece, "paid"),
        lambda: retire_note(maker.call(), note=note.id),
    ):
        with pytest.raises(Forbidden):
            change()


@pytest.mark.parametrize("key", sorted(p.stem for p in HERE.glob("*.toml") if p.stem != "cautions"))
def test_the_services_own_routes_go_against_nothing(key):
    choices = Choices(facts=frozenset(FACTS), counts={name: 2 for name in COUNTS}, own=("Plane", "Oil"))
    stages = expand(route(key), choices)
    assert check(stages, BUILT_IN) == []
    early = {"key": "early", "template_key": "seal", "title": "Sealed", "own_title": False, "after": [],
             "passive": False, "calcs": ["finishing"]}  # fmt: skip
    recessed = any(s["template_key"] == "stiffeners" for s in stages)
    assert any(w["before"] == "stiffeners" for w in check([early, *stages], BUILT_IN)) == recessed


def test_a_route_that_finishes_the_face_too_early_says_so_once(work):
    piece = work.accepted(**QUICK, stiffeners=True, mark="before finishing")
    seal = next(s["key"] for s in specs(piece) if s["template_key"] == "seal")
    done = move_stage(work.call(), piece=piece.number, stage="sand", after=["edge-profile"])
    told = warnings(specs(piece), piece.inputs)
    assert [(w["before"], w["stage"], w["note"]) for w in told] == [
        ("stiffeners", seal, None), ("mark-before", seal, None),
    ]  # fmt: skip
    assert [w["says"] for w in told] == done.notices
    again = move_stage(work.call(), piece=piece.number, stage="refit", after=["full-cure", "final-flatten"])
    assert again.notices == []


def test_a_note_teaches_an_order_that_later_routes_are_held_against(work, piece):
    note = note_on(
        work, piece, "square-ends", words="Square the ends before the stiffeners go in",
        only_for=["species"], rule={"before": "square-ends", "than": "stiffeners"},
    )  # fmt: skip
    asked = {**TOP, **QUICK, "stiffeners": True}
    number = piece.commission.number
    done = add_piece(work.call(), commission=number, units=INCHES, asked=asked)
    assert [n for n in done.notices if "Square the ends before" in n]
    ash = add_piece(work.call(), commission=number, units=INCHES, asked={**asked, "species": "white ash"})
    assert ash.notices == []
    changed = change_piece(work.call(), piece=piece.number, units=INCHES, asked={"stiffeners": "yes"})
    assert [n for n in changed.notices if "Square the ends before" in n]
    retire_note(work.call(), note=note.id)
    assert warnings(specs(piece), piece.inputs) == []
