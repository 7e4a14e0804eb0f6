"""Pushes through a real HTTP service: sent once, retried, and their address never shown."""

import logging
import socket
from ipaddress import ip_network

import pytest

from jobs.core.errors import Invalid, NotFound, WrongState
from jobs.domain.reminders.channels import push
from jobs.domain.reminders.channels.outside import Private, is_allowed, to_the_outside
from jobs.domain.reminders.delivery import FIRST_DELAY, MOST_TRIES, claim, deliver_due, resend
from jobs.domain.reminders.preferences import set_wishes
from jobs.domain.reminders.queries import undelivered
from jobs.domain.workshop.accounts import change_person
from jobs.log.outbox import CLAIM, LONGEST_DELAY
from jobs.models import Delivery, Event, PushAddress, ReminderDue
from tests.domain.reminders.conftest import HOUR, MINUTE
from tests.domain.reminders.sink import PushSink
from tests.mailbox import mails_in


@pytest.fixture
def sink(settings):
    settings.PUSH_NETWORKS = [ip_network("127.0.0.0/8")]
    with PushSink() as sink:
        yield sink


@pytest.fixture
def phone(bench, sink):
    """Return a push address; its owner gets reminders by push alone."""
    change_person(bench.by, reminders_by_mail=False)
    address = push.add_address(bench.by, url=sink.url, label="my phone")
    change_person(bench.by, name="Ines")
    return address


def test_a_push_goes_out_once_and_opens_the_stage(bench, phone, sink):
    piece = bench.glue_up()
    now = bench.glued + 20 * MINUTE
    assert deliver_due(now) == 1
    assert deliver_due(now + MINUTE) == 0
    (one,) = sink.pushes
    assert one["title"].startswith(f"{piece.number} Squeeze-out scraped: window open since")
    assert one["message"].splitlines() == [
        "Desk top, Desk by the window", f"https://shop.example/pieces/{piece.number}/stages/scrape/",
    ]  # fmt: skip
    row = Delivery.objects.get()
    assert (row.channel, row.step, row.error) == ("push", "sent", "")
    assert PushAddress.objects.get().sent_at is not None


@pytest.mark.both_databases
def test_mail_and_push_are_two_deliveries(bench, phone, sink, mail_folder):
    change_person(bench.by, reminders_by_mail=True)
    bench.glue_up()
    assert deliver_due(bench.glued + 20 * MINUTE) == 2
    assert len(sink.pushes) == len(mails_in(mail_folder)) == 1
    set_wishes(bench.by, {"window closes soon": {"by_push": False}})
    assert deliver_due(bench.glued + 50 * MINUTE) == 1
    assert len(sink.pushes) == 1


def test_late_ones_are_one_push(bench, phone, sink):
    piece = bench.glue_up()
    assert deliver_due(bench.glued + 6 * HOUR) == 1
    (one,) = sink.pushes
    assert one["title"].startswith("Late: 2 reminders")
    assert one["message"].count(f"/pieces/{piece.number}/stages/") == 2


def test_a_service_that_refuses_is_tried_again_and_its_reason_kept_without_the_address(
    bench, phone, sink, caplog
):
    bench.glue_up()
    sink.status = 500
    now = bench.glued + 20 * MINUTE
    with caplog.at_level(logging.INFO):
        assert deliver_due(now) == 0
    row = Delivery.objects.get()
    assert (row.step, row.next_at) == ("failed", now + FIRST_DELAY)
    assert row.error == "my phone: could not be sent: HTTP 500"
    (listed,) = undelivered()
    assert (listed["channel"], listed["error"]) == ("push", row.error)
    told = [row.error, PushAddress.objects.get().error, *caplog.messages]
    assert not [text for text in told if sink.secret in text]
    sink.status = 200
    assert deliver_due(now + FIRST_DELAY) == 1
    assert undelivered() == [] and PushAddress.objects.get().error == ""


def test_a_service_that_is_away_does_not_hold_up_the_mail(bench, phone, sink, mail_folder):
    change_person(bench.by, reminders_by_mail=True)
    PushAddress.objects.update(url=f"json://127.0.0.1:1/{sink.secret}")
    bench.glue_up()
    assert deliver_due(bench.glued + 20 * MINUTE) == 1
    assert len(mails_in(mail_folder)) == 1
    error = Delivery.objects.get(channel="push").error
    assert error == "my phone: could not be sent: connection refused"


def test_one_of_two_phones_is_enough(bench, phone, sink):
    push.add_address(bench.by, url="json://127.0.0.1:1/elsewhere", label="tablet")
    bench.glue_up()
    assert deliver_due(bench.glued + 20 * MINUTE) == 1
    assert len(sink.pushes) == 1
    assert (
        PushAddress.objects.get(label="tablet").error and not PushAddress.objects.get(label="my phone").error
    )


def test_a_sender_that_died_is_followed_by_another(bench, phone, sink):
    bench.glue_up()
    now = bench.glued + 20 * MINUTE
    assert claim(now) is not None
    assert deliver_due(now) == 0
    assert deliver_due(now + CLAIM) == 1
    assert Delivery.objects.get().tries == 2


@pytest.mark.both_databases
def test_what_was_given_up_is_sent_anew_on_request(bench, phone, sink):
    bench.glue_up()
    sink.status = 500
    now = bench.glued + 20 * MINUTE
    deliver_due(now)
    Delivery.objects.update(tries=MOST_TRIES)
    assert deliver_due(now + LONGEST_DELAY) == 0
    row = Delivery.objects.filter(step="given up").first()
    assert row is not None
    sink.status, sink.pushes = 200, []
    resend(row.id, now=now + 2 * HOUR)
    assert deliver_due(now + 2 * HOUR) == 1
    assert len(sink.pushes) == 1
    row.refresh_from_db()
    assert row.step == "sent"
    with pytest.raises(WrongState):
        resend(row.id, now=now + 3 * HOUR)
    with pytest.raises(NotFound):
        resend(0, now=now)


def test_what_ended_meanwhile_is_not_sent_anew(bench, phone, sink):
    piece = bench.glue_up()
    sink.status = 500
    deliver_due(bench.glued + 20 * MINUTE)
    row = Delivery.objects.get()
    ReminderDue.objects.filter(wait=bench.wait(piece, "scrape")).delete()
    with pytest.raises(WrongState, match="answered"):
        resend(row.id, now=bench.glued + HOUR)


def test_a_test_says_how_it_went(bench, phone, sink):
    push.try_out(bench.by)
    assert sink.pushes[0]["title"] == "Test of the shop log"
    sink.status, sink.says = 404, "root:x:0:0 is a secret of the network"
    with pytest.raises(Invalid, match="^my phone: could not be sent: HTTP 404$") as refused:
        push.try_out(bench.by)
    assert sink.secret not in str(vars(refused.value)) and "root" not in str(vars(refused.value))


@pytest.mark.parametrize(
    "url", ["", "phone", "https://shop.example/hook", "syslog://", "dbus://", "nosuch://host/path", "json://"]
)
def test_what_is_no_address_is_refused_without_being_shown(bench, url):
    with pytest.raises(Invalid) as refused:
        push.add_address(bench.by, url=url)
    assert refused.value.field == "url" and refused.value.value.endswith("(not shown)")


def test_the_address_stands_in_no_event(bench, phone, sink):
    assert not [e for e in Event.objects.all() if sink.secret in e.body or "json" in e.body]


@pytest.mark.parametrize(
    "url",
    [
        "syslog://", "windows://", "mailto://user:pw@mail.example", "fcm://project/key/device?keyfile=/etc/passwd",
        "discord://id/token?template=/etc/passwd", "json://shop.example/?:TEMPLATE=/etc/passwd",
        "ntfys://shop.example/topic?attach=file:///etc/passwd", "form://shop.example/?attach-as=x",
        "jsons://shop.example/?redirect=yes", "json://shop.example/?%72edirect=yes",
    ],
)  # fmt: skip
def test_kinds_and_options_that_are_not_on_the_list_are_refused(bench, url):
    with pytest.raises(Invalid) as refused:
        push.add_address(bench.by, url=url)
    assert refused.value.field == "url" and refused.value.allowed and "passwd" not in str(vars(refused.value))


PRIVATE = [
    "127.0.0.1", "localhost", "a.localhost", "10.1.2.3", "192.168.0.9", "172.16.0.1", "169.254.169.254",
    "100.64.0.1", "0.0.0.0", "[::1]", "[fe80::1]", "[fc00::1]",
]  # fmt: skip


@pytest.mark.parametrize("host", [*PRIVATE, "100.64.0.1", "0.0.0.0", "[::1]", "[fe80::1]", "[fc00::1]"])
def test_an_address_of_a_private_network_is_refused_unless_the_owner_allows_it(bench, settings, host):
    with pytest.raises(Invalid, match="private network") as refused:
        push.add_address(bench.by, url=f"json://{host}:8080/hook")
    assert "SHOP_PUSH_NETWORKS" in refused.value.allowed
    settings.PUSH_NETWORKS = [ip_network("0.0.0.0/0"), ip_network("::/0")]
    assert push.add_address(bench.by, url=f"json://{host}:8080/hook")


@pytest.mark.parametrize(
    "host, allowed",
    [
        ("93.184.216.34", True), ("2606:2800:220:1::1", True), ("64:ff9b::7f00:1", False),
        ("2002:a00:1::", False),
        ("::", False), ("224.0.0.1", False), ("fe80::1%eth0", False), ("shop.example", False), ("", False),
    ],
)  # fmt: skip
def test_which_addresses_are_of_the_outside(host, allowed):
    assert is_allowed(host) is allowed


def test_what_a_name_leads_to_is_checked_too(bench, phone, sink, settings):
    """The address was allowed when stored; the name of this machine resolves to a private address."""
    settings.PUSH_NETWORKS = []
    PushAddress.objects.update(url=f"json://{socket.gethostname()}:{sink.server.server_port}/hook")
    with pytest.raises(Invalid, match="private network|not known"):
        push.try_out(bench.by)
    PushAddress.objects.update(url=sink.url)
    with pytest.raises(Invalid, match="private network"):
        push.try_out(bench.by)
    assert sink.pushes == []


def test_a_connection_is_refused_by_its_number(sink):
    with socket.socket() as ours, to_the_outside() as refused, pytest.raises(Private):
        ours.connect(("10.255.255.1", sink.server.server_port))
    assert refused == ["10.255.255.1"]
    with socket.socket() as ours:
        ours.connect(("127.0.0.1", sink.server.server_port))


def test_a_service_that_sends_on_is_not_followed(bench, phone, sink):
    with PushSink() as other:
        sink.status, sink.sends_on_to = 307, f"http://127.0.0.1:{other.server.server_port}/"
        with pytest.raises(Invalid, match="HTTP 307"):
            push.try_out(bench.by)
        assert other.pushes == []
