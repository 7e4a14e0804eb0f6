"""Bad input: a clear problem document, and nothing changed."""

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from tests.api.client import Api, head, refused
from tests.api.driving import Order
from tests.shop_fixtures import TOP, a_maker


@dataclass
class Shop:
    """An accepted commission with a top on it."""

    api: Api
    number: str
    piece: str
    keys: dict[str, str] = field(default_factory=dict)

    def pieces(self, **asked: Any) -> Any:
        return self.api.post(f"commissions/{self.number}/pieces/", {**TOP, **asked})

    def client(self, raw: bytes) -> Any:
        return self.api.post("clients/", raw=raw)

    def stage(self, key: str, verb: str, body: dict | None = None, api: Api | None = None) -> Any:
        return Order(api or self.api, self.piece).ask(key, verb, body)


@pytest.fixture
def shop(api, number, accepted) -> Shop:
    return Shop(api, number, accepted)


def negative_length(shop: Shop) -> Any:
    return shop.pieces(length="-60")


def absurd_length(shop: Shop) -> Any:
    return shop.pieces(length="90 m")


def absurd_count(shop: Shop) -> Any:
    return shop.pieces(quantity=10**30)


def unknown_species(shop: Shop) -> Any:
    return shop.pieces(species="unobtainium")


def stage_before_its_turn(shop: Shop) -> Any:
    return shop.stage("glue-up", "start")


def second_phone(shop: Shop) -> Any:
    shop.stage("survey", "start")
    Order(shop.api, shop.piece).finish("survey")
    shop.keys["before"] = str(head())
    return shop.stage("survey", "finish", {"minutes": 5}, Api(a_maker("second")))


def key_with_another_body(shop: Shop) -> Any:
    shop.api.post("clients/", {"name": "Orla Fenwick"}, Idempotency_Key="k")
    shop.keys["before"] = str(head())
    return shop.api.post("clients/", {"name": "Tam Okafor"}, Idempotency_Key="k")


def paper_of_a_cancelled_commission(shop: Shop) -> Any:
    shop.api.post(f"commissions/{shop.number}/move/", {"to": "cancelled", "reason": "house sold"})
    shop.keys["before"] = str(head())
    return shop.api.post(f"commissions/{shop.number}/checklist/")


def ten_megabytes(shop: Shop) -> Any:
    return shop.client(b'{"name": "' + b"x" * 10_000_000 + b'"}')


def broken_utf8(shop: Shop) -> Any:
    return shop.client(b'{"name": "Orla \xff\xfe"}')


def nul(shop: Shop) -> Any:
    return shop.client(b'{"name": "Orla\\u0000"}')


def raw_nul(shop: Shop) -> Any:
    return shop.client(b'{"name": "Orla\x00"}')


def half_a_character(shop: Shop) -> Any:
    return shop.client(b'{"name": "Orla\\ud83e"}')


def nan(shop: Shop) -> Any:
    return shop.api.put(f"commissions/{shop.number}/price/", None, raw=b'{"lines": [{"unit_price": NaN}]}')


def infinity(shop: Shop) -> Any:
    return shop.client(b'{"name": -Infinity}')


def nan_as_text(shop: Shop) -> Any:
    lines = [{"description": "Top", "unit_price": "NaN"}]
    return shop.api.put(f"commissions/{shop.number}/price/", {"lines": lines})


def beyond_numbers(shop: Shop) -> Any:
    return shop.client(b'{"name": 1e99999999}')


def five_thousand_digits(shop: Shop) -> Any:
    return shop.client(b'{"name": ' + b"9" * 5000 + b"}")


def nested_deeply(shop: Shop) -> Any:
    return shop.client(b'{"name": ' + b"[" * 100_000 + b"]" * 100_000 + b"}")


@pytest.mark.parametrize("levels", [50, 300, 500, 950, 2000])
@pytest.mark.parametrize("opens, closes", [("[", "]"), ('{"a":', "}")])
@pytest.mark.parametrize("address", ["clients/", "calcs/movement/", "readings/", "me/push/"])
def test_whatever_is_nested_deeply_is_refused(api, levels, opens, closes, address):
    body = f'{{"name": {opens * levels}1{closes * levels}}}'
    answer = api.post(address, raw=body.encode())
    refused(answer, 400, "malformed")
    assert "nested too deeply" in answer.data["detail"] and "40" in answer.data["detail"]


@pytest.mark.parametrize("digits", [32, 300, 4000, 4301, 5000])
def test_a_whole_number_of_absurd_length_is_refused(api, digits):
    answer = api.post("clients/", raw=b'{"name": -%s}' % (b"9" * digits))
    refused(answer, 400, "malformed")
    assert "-1e30 to 1e30" in answer.data["detail"] and len(answer.data["detail"]) < 200


def name_twice(shop: Shop) -> Any:
    return shop.client(b'{"name": "Orla", "name": "Tam"}')


def no_json(shop: Shop) -> Any:
    return shop.client(b"name=Orla")


def no_object(shop: Shop) -> Any:
    return shop.client(b'["Orla"]')


def nothing(shop: Shop) -> Any:
    return shop.client(b"")


def clock_ahead(shop: Shop) -> Any:
    ahead = (datetime.now(UTC) + timedelta(minutes=10)).isoformat()
    return shop.stage("survey", "start", {"occurred_at": ahead})


def clock_without_zone(shop: Shop) -> Any:
    return shop.stage("survey", "start", {"occurred_at": "2026-01-01T10:00:00"})


def clock_of_long_ago(shop: Shop) -> Any:
    return shop.stage("survey", "start", {"occurred_at": "0001-01-01T00:00:00Z"})


def device_time_unreadable(shop: Shop) -> Any:
    return shop.api.post("clients/", {"name": "Orla"}, Device_Time="half past ten")


TABLE = [
    (negative_length, 422, "out-of-range", "length"),
    (absurd_length, 422, "out-of-range", "length"),
    (absurd_count, 422, "invalid", "quantity"),
    (unknown_species, 422, "unknown", "species"),
    (stage_before_its_turn, 409, "not-yet", "stage"),
    (second_phone, 409, "already-done", "stage"),
    (key_with_another_body, 422, "key-reused", "Idempotency-Key"),
    (paper_of_a_cancelled_commission, 409, "wrong-state", "commission"),
    (ten_megabytes, 413, "too-large", None),
    (broken_utf8, 400, "malformed", None),
    (nul, 400, "malformed", None),
    (raw_nul, 400, "malformed", None),
    (half_a_character, 400, "malformed", None),
    (nan, 400, "malformed", None),
    (infinity, 400, "malformed", None),
    (nan_as_text, 422, "invalid", "lines.0.unit_price"),
    (beyond_numbers, 400, "malformed", None),
    (five_thousand_digits, 400, "malformed", None),
    (nested_deeply, 400, "malformed", None),
    (name_twice, 400, "malformed", None),
    (no_json, 400, "malformed", None),
    (no_object, 422, "invalid", ""),
    (nothing, 422, "invalid", "name"),
    (clock_ahead, 422, "clock-ahead", "occurred_at"),
    (clock_without_zone, 422, "invalid", "occurred_at"),
    (clock_of_long_ago, 422, "invalid", "occurred_at"),
    (device_time_unreadable, 422, "invalid", "Device-Time"),
]


@pytest.mark.parametrize("send, status, code, field", TABLE, ids=lambda v: getattr(v, "__name__", None))
def test_bad_input_is_named_and_changes_nothing(shop, send, status, code, field):
    before = head()
    answer = send(shop)
    error = refused(answer, status, code, field)
    assert head() == int(shop.keys.get("before", before))
    assert answer.data["detail"]
    assert "Traceback" not in answer.content.decode()
    if field is not None:
        assert error["allowed"]
        assert set(error) >= {"detail", "field", "value", "allowed"}


def test_a_malformed_body_says_where(api):
    def told(raw: bytes) -> str:
        return api.post("clients/", raw=raw).data["detail"]

    assert "byte 15" in told(b'{"name": "Orla \xff"}')
    assert "#/name" in told(b'{"name": "Orla\\u0000"}')
    assert "NaN" in told(b'{"name": NaN}')
    assert "'name' stands twice" in told(b'{"name": "a", "name": "b"}')
    assert "line 2, column 1" in told(b'{"name":\n}')


def test_a_device_clock_that_is_off_is_noticed(api):
    ahead = (datetime.now(UTC) + timedelta(minutes=10)).isoformat()
    (notice,) = api.post("clients/", {"name": "Orla"}, Device_Time=ahead).data["notices"]
    assert notice.startswith(
        ("this device's clock is 599 seconds ahead", "this device's clock is 600 seconds")
    )
    right = datetime.now(UTC).isoformat()
    assert api.post("clients/", {"name": "Tam"}, Device_Time=right).data["notices"] == []


def test_what_happened_earlier_keeps_its_time(api, shop):
    earlier = datetime.now(UTC) - timedelta(hours=3)
    shop.stage("survey", "start", {"occurred_at": earlier.isoformat(), "long_ago": True})
    stage = api.get(f"pieces/{shop.piece}/").data["stages"][0]
    assert datetime.fromisoformat(stage["started_at"]) == earlier


@pytest.mark.parametrize(
    "address",
    ["pieces/2026%00/", "commissions/%00/", "papers/%F0%9F%AA%B5/", "sheets/glue/%00/", "people/%00/"],
)
def test_odd_addresses_lead_nowhere(api, address):
    refused(api.get(address), 404, "not-found")


@pytest.mark.parametrize(
    "address", ["papers/?commission=%00", "events/?stream=%00", "tokens/?person=%00", "clients/?cursor=%00"]
)
def test_odd_queries_are_refused(api, address):
    refused(api.get(address), 422, "invalid")
