"""The days ahead, a date outside the shop, the day sheet, and a stage given to somebody."""

from datetime import timedelta

from django.utils import timezone

from jobs.domain.clients.portal_links import address_of, make_link
from jobs.models import Appointment, Commission, Person, Piece, Stage
from tests.shop_fixtures import Work
from tests.web.pages import Pages


def test_a_date_is_set_shown_changed_and_cancelled(pages: Pages, piece: Piece):
    number, day = piece.commission.number, timezone.localdate() + timedelta(days=1)
    at = f"/plan/dates/new/?commission={number}&kind=delivery"
    pages.send(at, {"day": day.isoformat(), "at": "10:00", "place": "4 Alder Lane"})
    words = pages.get("/plan/dates/").words
    assert "Tomorrow" in words and "10:00 Delivery" in words
    key = Appointment.objects.get().id
    pages.send(f"/plan/dates/{key}/", {"at": "14:30"}, to="")
    assert "14:30 Delivery" in pages.get("/plan/dates/").words
    assert "Deliver" in pages.get("/").words
    page = pages.send(f"/plan/dates/{key}/", {"reason": "van broken"}, to="/cancel/")
    assert page.status == 302 and "14:30" not in pages.get("/plan/dates/").words
    assert "van broken" in pages.get(f"/plan/dates/{key}/").words


def test_a_date_without_a_day_is_asked_for_it_and_keeps_what_was_typed(pages: Pages, db: None):
    page = pages.send("/plan/dates/new/", {"at": "10:00"}, status=422)
    assert page.errors["day"] and page.form().typed["at"] == "10:00"


def test_the_helpers_bench_shows_theirs_first(pages: Pages, work: Work, piece: Piece, maker: Person):
    stage = Stage.objects.filter(piece=piece).order_by("position").first()
    assert stage is not None
    form = {"person": maker.id, "form_seen": str(Piece.objects.get().version), "form_key": "give-1"}
    answer = pages.http.post(f"/pieces/{piece.number}/stages/{stage.key}/give/", form)
    assert answer.status_code == 302
    assert Stage.objects.get(id=stage.id).given_to == maker.id
    assert str(maker) in pages.get(f"/day/?for={maker.id}").words
    assert pages.get("/day/").words


def test_a_ready_commission_asks_for_the_day_of_delivery_until_it_is_agreed(
    pages: Pages, work: Work, piece: Piece
):
    number = piece.commission.number
    Commission.objects.filter(number=number).update(step=Commission.Step.READY)
    assert "Agree the day of delivery" in pages.get(f"/commissions/{number}/").words
    assert "Agree the day of delivery" in pages.get("/").words
    day = timezone.localdate() + timedelta(days=5)
    pages.send(f"/commissions/{number}/delivery/", {"day": day.isoformat(), "at": "10:00"})
    assert "Agree the day of delivery" not in pages.get(f"/commissions/{number}/").words
    assert "Agree the day of delivery" not in pages.get("/").words


def test_the_client_sees_a_date_only_where_the_maker_told_it(pages: Pages, owner: Person, piece: Piece):
    number, day = piece.commission.number, timezone.localdate() + timedelta(days=5)
    page = address_of(make_link(owner, commission=number, now=timezone.now())[1])
    page = page[page.index("/c/") :]
    typed = {"day": day.isoformat(), "at": "10:00", "tell_client": ""}
    form = pages.get(f"/commissions/{number}/delivery/").form()
    form.typed.pop("tell_client", None)
    typed.pop("tell_client")
    pages.send_form(f"/commissions/{number}/delivery/", form, typed)
    assert "We deliver on" not in Pages().get(page).words
    key = Appointment.objects.get().id
    pages.send(f"/plan/dates/{key}/", {"tell_client": "on"})
    assert "We deliver on" in Pages().get(page).words
