"""The pages that ask the plan, the quote that proposes a day, and the expected day of a commission."""

from datetime import timedelta

from django.utils import timezone

from jobs.domain.clients.portal_links import address_of, make_link
from jobs.domain.commissions.commissions import change_commission
from jobs.domain.planning import publishing
from jobs.domain.promising.risks import judge
from jobs.models import Commission, Person, Piece, PromiseRisk
from tests.api.client import head
from tests.shop_fixtures import Work, a_client, a_commission, a_piece
from tests.web.pages import Pages

TODAY = timezone.localdate()


def test_an_enquiry_gets_three_days_in_plain_odds_and_the_chosen_one_goes_into_its_quote(
    pages: Pages, work: Work
):
    piece = a_piece(work.call(), a_commission(work.call(), a_client(work.call())))
    number, before = piece.commission.number, head()
    page = pages.get(f"/plan/promise/?ask=1&commission={number}&hours=20")
    for says in ("1 time in 2", "8 times in 10", "19 times in 20", "Hands", "lived through 120 times"):
        assert says in page.words
    chosen = next(form for form in page.forms if form.action == "/plan/promise/make/").typed
    assert chosen["commission"] == number and head() == before
    done = pages.http.post("/plan/promise/make/", chosen)
    assert done.status_code == 302 and done["Location"].endswith(f"?promise_on={chosen['promise_on']}")
    quote = pages.get(done["Location"])
    assert quote.form().typed["promise_on"] == chosen["promise_on"]
    assert Commission.objects.get().promise_on is None, "it is promised by the quote alone"


def test_a_quote_without_a_day_asks_the_plan_for_one(pages: Pages, work: Work):
    piece = a_piece(work.call(), a_commission(work.call(), a_client(work.call())))
    number = piece.commission.number
    address = f"/plan/promise/proposal/{number}/"
    assert address in pages.get(f"/commissions/{number}/quote/").text
    fragment = pages.http.get(address).content.decode()
    assert "8 times in 10" in " ".join(fragment.split()) and 'hx-swap-oob="true"' in fragment
    bare = a_commission(work.call(), a_client(work.call()))
    assert "has no piece yet" in pages.http.get(f"/plan/promise/proposal/{bare.number}/").content.decode()


def test_a_refusal_keeps_what_was_typed_and_names_the_field(pages: Pages, piece: Piece):
    number = piece.commission.number
    page = pages.get(f"/plan/promise/?ask=1&commission={number}&hours=0", status=422)
    assert "Hours" in page.words and "0.5 to 2000" in page.words
    day = (TODAY - timedelta(days=3)).isoformat()
    page = pages.get(f"/plan/promise/?ask=1&commission={number}&day={day}", status=422)
    assert "promised for a day that has passed" in page.words.lower()
    form = {"commission": number, "promise_on": day}
    assert pages.http.post("/plan/promise/make/", form).status_code == 422


def test_what_if_shows_every_promise_beside_the_present_plan(pages: Pages, work: Work, piece: Piece):
    number = piece.commission.number
    change_commission(work.call(), commission=number, promise_on=TODAY + timedelta(days=60))
    away = f"away={work.by.id}&away_from={TODAY.isoformat()}"
    until = (TODAY + timedelta(days=20)).isoformat()
    before = head()
    page = pages.get(f"/plan/what-if/?ask=1&{away}&away_until={until}")
    assert "later" in page.words and "Nothing is saved" in page.words and head() == before
    assert "Choose one change" in pages.get("/plan/what-if/").words
    assert "hoose what should change" in pages.get("/plan/what-if/?ask=1", status=422).words


def test_a_commission_says_when_it_is_expected_and_its_client_sees_the_promise_alone(
    pages: Pages, work: Work, piece: Piece, owner: Person
):
    number = piece.commission.number
    change_commission(work.call(), commission=number, promise_on=TODAY + timedelta(days=2))
    now = timezone.now()
    assert publishing.publish(now)
    said = publishing.current()
    assert said is not None
    judge(said, now)
    PromiseRisk.objects.update(helps="saturday:1")
    words = pages.get(f"/commissions/{number}/").words
    for says in (
        "Expected",
        "19 times in 20 by",
        "at risk since",
        "work the next Saturday mornings, 1 in all",
    ):
        assert says in words
    address = address_of(make_link(owner, commission=number, now=now)[1])
    client = pages.get(address[address.index("/c/") :]).words
    assert "times in" not in client and "xpected" not in client


def test_how_promises_were_kept_says_from_when_on_it_speaks_of_shares(pages: Pages, db: None):
    assert "From 10 on" in pages.get("/plan/learned/").words
