"""A commission lists in one place what has to be solved before its pieces can be made."""

from jobs.domain.commissions.piece_commands import add_piece, change_piece
from jobs.domain.stages.clamps import add_equipment
from jobs.models import Person, Piece
from tests.api.client import Api
from tests.shop_fixtures import INCHES, TOP, Work, a_client, a_commission
from tests.web.pages import Pages

WIDE = TOP | {"label": "Table top", "length": "96", "width": "42", "thickness": "1 3/4"}
HANDS = "One more pair of hands: 2 clampings, about 3 min more room"


def an_enquiry(work: Work) -> Piece:
    commission = a_commission(work.call(), a_client(work.call()))
    add_piece(work.call(), commission=commission.number, units=INCHES, asked=WIDE)
    return Piece.objects.get(commission=commission)


def test_it_is_said_on_the_commission_and_before_accepting(work: Work, owner: Person):
    piece, pages = an_enquiry(work), Pages(owner)
    at = f"/commissions/{piece.commission.number}/"
    for page in (pages.get(at), pages.get(f"{at}accept/")):
        assert "To solve first: Table top" in page.words and HANDS in page.words
    (out,) = Api(owner).get(f"commissions/{piece.commission.number}/").data["pieces"]
    (gluing,) = [b for b in out["blockers"] if b["calculation"] == "gluing" and b["ways"]]
    assert HANDS.lower() in [way.lower() for way in gluing["ways"]]


def test_what_is_done_or_the_accepted_route_solves_is_left_out(work: Work, owner: Person):
    piece = work.accepted(**WIDE)
    api, at = Api(owner), f"pieces/{Piece.objects.get(id=piece.id).number}/"
    told = {one["calculation"] for one in api.get(at).data["blockers"]}
    assert "gluing" in told, "a long top wants a second pair of hands"
    assert not [one for one in api.get(at).data["blockers"] if one["ways"]], "the route has its glue-ups"
    work.do_until(piece, "glue-up")
    assert "gluing" not in {one["calculation"] for one in api.get(at).data["blockers"]}


def test_too_few_clamps_are_said(work: Work, owner: Person):
    piece = an_enquiry(work)
    add_equipment(work.call(), kind="clamp", name="Bar clamp", count=3, reach="50", units=INCHES)
    change_piece(work.call(), piece=piece.number, units=INCHES, asked={})
    (out,) = Api(owner).get(f"commissions/{piece.commission.number}/").data["pieces"]
    assert [b["says"] for b in out["blockers"] if b["calculation"] == "clamping"]


def test_what_needs_no_solving_shows_nothing(work: Work, owner: Person):
    commission = a_commission(work.call(), a_client(work.call()))
    small = TOP | {"width": "10", "length": "24", "thickness": "1 1/4"}
    add_piece(work.call(), commission=commission.number, units=INCHES, asked=small)
    (out,) = Api(owner).get(f"commissions/{commission.number}/").data["pieces"]
    assert [b for b in out["blockers"] if b["calculation"] in ("gluing", "lifting")] == []
