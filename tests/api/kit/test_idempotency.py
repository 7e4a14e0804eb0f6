"""A key with the same request runs once; with another request it is refused."""

import threading

import pytest
from django.db import connections

from jobs.models import Client, Event, Person
from tests.api.client import Api, head, refused
from tests.shop_fixtures import TOP, an_owner

FENWICK = {"name": "Orla Fenwick"}


def test_the_same_key_again_gives_the_same_answer(api):
    first = api.post("clients/", FENWICK, Idempotency_Key='"order-7"')
    before = head()
    again = api.post("clients/", FENWICK, Idempotency_Key='"order-7"')
    assert (first.status_code, again.status_code) == (201, 200)
    assert (first.data["replayed"], again.data["replayed"]) == (False, True)
    assert again.data["client"] == first.data["client"]
    assert again.data["events"] == first.data["events"]
    assert again.headers["Location"] == first.headers["Location"]
    assert head() == before


def test_a_bare_key_is_the_quoted_one(api):
    api.post("clients/", FENWICK, Idempotency_Key="order-7")
    assert api.post("clients/", FENWICK, Idempotency_Key='"order-7"').data["replayed"]


def test_the_order_of_names_and_spaces_is_not_another_body(api):
    raw = b'{"phone": "555 0142",   "name": "Orla Fenwick"}'
    api.post("clients/", {"name": "Orla Fenwick", "phone": "555 0142"}, Idempotency_Key="k")
    assert api.post("clients/", raw=raw, Idempotency_Key="k").data["replayed"]


def test_the_same_key_with_another_request_is_refused(api, number):
    api.post("clients/", FENWICK, Idempotency_Key='"order-7"')
    before = head()
    other = {"name": "Tam Okafor"}
    error = refused(
        api.post("clients/", other, Idempotency_Key='"order-7"'), 422, "key-reused", "Idempotency-Key"
    )
    assert "pointer" not in error
    refused(api.post(f"commissions/{number}/pieces/", TOP, Idempotency_Key="order-7"), 422, "key-reused")
    refused(api.post("commissions/2026-999/pieces/", TOP, Idempotency_Key="order-7"), 422, "key-reused")
    assert head() == before


def test_a_unit_in_the_address_makes_another_request(api, number):
    api.post(f"commissions/{number}/pieces/", TOP, Idempotency_Key="k")
    refused(api.post(f"commissions/{number}/pieces/?unit=mm", TOP, Idempotency_Key="k"), 422, "key-reused")


def test_keys_are_each_persons_own(api, maker_api):
    api.post("clients/", FENWICK, Idempotency_Key="k")
    assert not maker_api.post("clients/", FENWICK, Idempotency_Key="k").data["replayed"]


def test_a_refusal_is_not_remembered(api):
    refused(api.post("clients/", {"name": "x", "email": "y"}, Idempotency_Key="k"), 422, "invalid", "email")
    assert api.post("clients/", FENWICK, Idempotency_Key="k").status_code == 201


def test_what_is_gone_since_is_answered_with_null(api, number, piece):
    address = f"commissions/{number}/pieces/"
    made = api.post(address, TOP, Idempotency_Key="k").data["piece"]["number"]
    gone = api.delete(f"pieces/{made}/", Idempotency_Key="g")
    assert api.delete(f"pieces/{made}/", Idempotency_Key="g").data == {**gone.data, "replayed": True}
    again = api.post(address, TOP, Idempotency_Key="k")
    assert (again.status_code, again.data["piece"], again.data["replayed"]) == (200, None, True)


@pytest.mark.parametrize("key", ["", '""', '"half', 'a"b', "two words", "k" * 201, '"tab\there"', "ké"])
def test_a_key_that_cannot_be_read(api, key):
    refused(api.post("clients/", FENWICK, Idempotency_Key=key), 422, "invalid", "Idempotency-Key")
    assert head() == 0


@pytest.mark.both_databases
@pytest.mark.django_db(transaction=True)
def test_two_threads_with_the_same_key_write_once():
    owner = an_owner()
    answers: list[tuple[int, int, bool]] = []
    start = threading.Barrier(4)

    def send(api: Api) -> None:
        start.wait()
        answer = api.post("clients/", FENWICK, Idempotency_Key="at-once")
        answers.append((answer.status_code, answer.data["client"]["id"], answer.data["replayed"]))
        connections.close_all()

    threads = [threading.Thread(target=send, args=(api,)) for api in clients_of(owner, 4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(status for status, *_ in answers) == [200, 200, 200, 201]
    assert len({client for _, client, _ in answers}) == 1
    assert (Client.objects.count(), Event.objects.count()) == (1, 1)


def clients_of(owner: Person, count: int) -> list[Api]:
    return [Api(owner) for _ in range(count)]
